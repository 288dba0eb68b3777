"""The dip list as a table. Wants, stock and frames are fetched once for the candles shown."""

from functools import cached_property

import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html, format_html_join

from inventory.models import Candle
from inventory.tables.columns import DATE, SOFT, DateColumn, PairsColumn, PictureColumn
from production.domain.own_wants import note_of
from production.models import Want
from production.queries.dip_list import to_hang, wants_of
from production.queries.plan_pages import hangs_first, planned_days

MOST_NAMED = 3  # wants named in a row; the rest are counted


class DipListTable(tables.Table):
    caption = "Wanted pairs by candle"
    picture = PictureColumn()
    code = tables.Column(visible=False)  # in the sheet; the page has it beside the name
    name = tables.Column("Candle", linkify=True)
    wanted = PairsColumn("Wanted")
    hung = PairsColumn("On the floor", empty_values=(), orderable=False)
    free = PairsColumn("Free", empty_values=(), orderable=False)
    need = PairsColumn("To hang", empty_values=(), orderable=False)
    frames = tables.Column(
        "Frames that means", empty_values=(), orderable=False, attrs={"td": {"class": "soft reason"}}
    )
    planned = tables.Column("The plan hangs", empty_values=(), visible=False)  # as code: beside the frames on the page
    earliest = DateColumn(format="j M", verbose_name="First by", attrs=DATE, order_by=("earliest", "code"))
    whom = tables.Column("For whom", empty_values=(), orderable=False, attrs={"td": {"class": "soft reason"}})

    class Meta:
        model = Candle
        fields = ("picture", "code", "name", "wanted", "hung", "free", "need", "frames", "planned", "earliest", "whom")
        order_by = "earliest"
        empty_text = "Nobody waits for a pair that fits."

    @cached_property
    def candles(self) -> list[Candle]:
        return [row.record for row in self.paginated_rows]

    @cached_property
    def wants(self):
        return wants_of(candle.pk for candle in self.candles)

    @cached_property
    def needs(self):
        return to_hang(self.candles)

    @cached_property
    def plan(self):
        return planned_days(self.candles)

    def render_name(self, value, record):
        return format_html("{} <small>{}</small>", value, record.code)

    def value_name(self, value):
        return value

    def value_earliest(self, value):
        return value

    def render_hung(self, record):
        need = self.needs[record.pk]
        spare = format_html("<br><small>{} for the shelf</small>", f"{need.spare:,}") if need.spare else ""
        return format_html("{}{}", _pairs(need.hung), spare)

    def value_hung(self, record):
        return self.needs[record.pk].hung

    def render_free(self, record):
        return _pairs(self.needs[record.pk].free)

    def value_free(self, record):
        return self.needs[record.pk].free

    def render_need(self, record):
        return _pairs(self.needs[record.pk].need)

    def value_need(self, record):
        return self.needs[record.pk].need

    def render_frames(self, record):
        need, planned = self.needs[record.pk], self._planned(record)
        if not need.need:
            return planned or "–"
        if not need.per_frame:
            return need.reason
        means = format_html(
            '{}<br><small>{}, {} pairs each</small><br><a href="{}?candle={}&amp;kind={}">Thread one'
            '<span class="unseen"> of {}</span></a>',
            need.reason, need.kind, need.per_frame, reverse("thread"), record.pk, need.kind.pk, record,
        )  # fmt: skip
        return format_html("{}<br>{}", means, planned) if planned else means

    def value_frames(self, record):
        return self.needs[record.pk].reason

    def _planned(self, record):
        rows = self.plan.get(record.pk)
        if not rows:
            return ""
        url = reverse("dip_plan_frame", args=[rows[0].pk])
        return format_html('<a href="{}">The plan hangs {}, over {}</a>', url, hangs_first(rows), rows[0].vat)

    def value_planned(self, record):
        rows = self.plan.get(record.pk)
        return f"{hangs_first(rows)}, over {rows[0].vat}" if rows else ""

    def value_wanted(self, value):
        return value

    def render_whom(self, record):
        wants = self.wants[record.pk]
        rows = format_html_join("", "<li>{}</li>", ((_in_words(want),) for want in wants[:MOST_NAMED]))
        more = len(wants) - MOST_NAMED
        return format_html(
            '<ul class="bare">{}{}</ul>', rows, format_html("<li>and {} more</li>", more) if more > 0 else ""
        )

    def value_whom(self, record):
        return "; ".join(_in_words(want) for want in self.wants[record.pk])


class OwnWantTable(tables.Table):
    """The workshop's own wants; only the owner is shown what can be done with them."""

    caption = "Made ahead for the shelf"
    picture = PictureColumn(accessor="candle")
    candle = tables.Column(linkify=True)
    pairs = PairsColumn()
    wanted_by = DateColumn(format="j M Y", verbose_name="Wanted by", attrs=DATE)
    note = tables.Column("What for", accessor="for_whom", attrs=SOFT)
    change = tables.Column(
        format_html('<span class="unseen">{}</span>', "What can be done"),
        accessor="pk",
        attrs={"td": {"class": "does"}},
    )

    class Meta:
        model = Want
        fields = ("picture", "candle", "pairs", "wanted_by", "note", "change")
        orderable = False
        prefix = "own-"
        empty_text = "Nothing is made ahead."

    def __init__(self, rows, *, acts: bool):
        super().__init__(rows)
        if not acts:
            self.columns.hide("change")

    def render_note(self, record):
        return note_of(record) or "–"

    def render_change(self, value, record):
        return format_html(
            '<a href="{}">Change<span class="unseen"> what is wanted of {}</span></a>',
            reverse("own_want", args=[value]),
            record.candle,
        )


def _pairs(number: int) -> str:
    return f"{number:,}" if number else "–"


def _in_words(want) -> str:
    whole = ", all or nothing" if want.all_or_nothing else ""
    return f"{want.pairs:,} for {want.for_whom} by {want.wanted_by.day} {want.wanted_by:%b}{whole}"
