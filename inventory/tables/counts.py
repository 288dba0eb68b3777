import django_tables2 as tables
from django.utils import timezone
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from inventory.models import SECONDS, StockCount
from inventory.tables.columns import DATE, RIGHT, SOFT, DateColumn, PictureColumn

LINE_BREAK = SafeString("<br>")


class CountTable(tables.Table):
    caption = "Stock counts"
    number = tables.Column("Count", accessor="pk", linkify=True)
    started_at = DateColumn(verbose_name="Begun", format="j M Y, H:i", attrs=DATE)
    started_by = tables.Column("By", accessor="started_by__full_name")
    shelf = tables.Column("Of shelf", default="all shelves")
    done = tables.Column("Counted", attrs=RIGHT, orderable=False)
    posted_at = DateColumn(verbose_name="Posted", format="j M Y, H:i", default="open", attrs=DATE)
    posted_by = tables.Column("Posted by", accessor="posted_by__full_name", default="")

    class Meta:
        model = StockCount
        fields = ("number", "started_at", "started_by", "shelf", "done", "posted_at", "posted_by")
        empty_text = "No count has been made yet."

    def render_number(self, value):
        return f"Count {value}"

    def render_done(self, record):
        return f"{record.done} of {record.lots} lots"


class TypeInTable(tables.Table):
    """The sheet as a form. A row is (sheet row, bound field)."""

    caption = "The sheet, typed in"
    shelf = tables.Column(accessor="0__lot__shelf", default="–")
    lot = tables.Column("Lot", accessor="0__lot__code", attrs={"td": {"class": "nowrap"}})
    candle = tables.Column(accessor="0__lot__candle")
    grade = tables.Column(accessor="0__lot__grade")
    counted = tables.Column("Pairs counted", accessor="1", attrs=RIGHT)

    class Meta:
        orderable = False
        empty_text = "No lot on this sheet."

    def render_counted(self, value):
        label = format_html('<label class="unseen" for="{}">{}</label>', value.id_for_label, value.label)
        return format_html("{}{}{}", label, value, value.errors)


class DifferenceTable(tables.Table):
    """Differences of a sheet. A row is an inventory.queries.counts.Difference."""

    caption = "Differences"
    picture = PictureColumn(second=lambda row: row.lot.grade == SECONDS, accessor="lot__candle")
    shelf = tables.Column(accessor="lot__shelf", default="–")
    lot = tables.Column(accessor="lot", linkify=True, attrs={"td": {"class": "nowrap"}})
    candle = tables.Column(accessor="lot__candle")
    book = tables.Column("The book said", attrs=RIGHT)
    counted = tables.Column("Counted", default="not counted", attrs=RIGHT)
    difference = tables.Column("Difference", attrs=RIGHT)
    stands = tables.Column("", accessor="row", attrs=SOFT)

    class Meta:
        orderable = False
        empty_text = "Everything counted agrees with the book."

    def __init__(self, rows, *, count, **kwargs):
        self.count = count
        super().__init__(rows, **kwargs)

    def render_difference(self, value):
        return f"{value:+,}" if value else "–"

    def render_stands(self, record):
        says = [self._moved(movement) for movement in record.since]
        if record.below_set_aside and record.difference and not self.count.posted_at:
            says.insert(0, format_html("<strong>{}</strong>", record.why_not()))
        return format_html_join(LINE_BREAK, "{}", ((part,) for part in says))

    def _moved(self, movement) -> str:
        """A movement since the sheet was made, and on which side of the counting it lies."""
        at = timezone.localtime(movement.at)
        what = " ".join(filter(None, (movement.kind, f"{movement.pairs:+d}", movement.reference)))
        if movement.kind == "recounted":
            side = "a correction, taken as before the counting"
        elif movement.at > (self.count.counted_at or self.count.started_at):
            side = "after the counting, not compared"
        else:
            side = "before the counting"
        return f"{at:%H:%M} {what}: {side}"
