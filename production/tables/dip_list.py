"""The dip list as a table. Wants and free pairs are fetched once for the candles shown."""

from functools import cached_property

import django_tables2 as tables
from django.utils.html import format_html, format_html_join

from inventory.models import Candle
from inventory.tables.stockroom import DATE, SOFT, PairsColumn, PictureColumn
from production.queries.dip_list import free_firsts, wants_of

MOST_NAMED = 3  # wants named in a row; the rest are counted


class DipListTable(tables.Table):
    caption = "Wanted pairs by candle"
    picture = PictureColumn()
    code = tables.Column(attrs={"td": {"class": "nowrap"}})
    name = tables.Column("Candle", linkify=True)
    wanted = PairsColumn("Pairs wanted")
    free = PairsColumn("Free in stock", empty_values=(), orderable=False)
    earliest = tables.DateColumn(
        format="j M Y", verbose_name="Earliest day", attrs=DATE, order_by=("earliest", "code")
    )
    whom = tables.Column("For whom", empty_values=(), orderable=False, attrs=SOFT)

    class Meta:
        model = Candle
        fields = ("picture", "code", "name", "wanted", "free", "earliest", "whom")
        order_by = "earliest"
        empty_text = "Nobody waits for a pair that fits."

    @cached_property
    def keys(self) -> list[int]:
        return [row.record.pk for row in self.paginated_rows]

    @cached_property
    def wants(self):
        return wants_of(self.keys)

    @cached_property
    def free_pairs(self):
        return free_firsts(self.keys)

    def render_free(self, record):
        return f"{self.free_pairs[record.pk]:,}" if self.free_pairs[record.pk] else "–"

    def value_free(self, record):
        return self.free_pairs[record.pk]

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


def _in_words(want) -> str:
    whole = ", all or nothing" if want.all_or_nothing else ""
    return f"{want.pairs:,} for {want.for_whom} by {want.wanted_by.day} {want.wanted_by:%b}{whole}"
