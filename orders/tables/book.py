"""The order book as a table. Figures are fetched once for the rows shown."""

from functools import cached_property

import django_tables2 as tables
from django.utils import timezone
from django.utils.html import format_html

from inventory.tables.stockroom import DATE, RIGHT, SOFT
from orders.cover_svg import draw_cover
from orders.models import Order
from orders.queries.book import entries, with_sums
from orders.standing import short_day


class BookTable(tables.Table):
    caption = "Orders"
    number = tables.Column("Order", linkify=True)
    shop = tables.Column(order_by=("shop__name", "number"))
    ship_by = tables.Column("Ship by", order_by=("ship_by", "shop__rank", "number"), attrs=DATE, default="no day yet")
    pairs = tables.Column(empty_values=(), attrs=RIGHT)
    cover = tables.Column(empty_values=(), exclude_from_export=True)
    stands = tables.Column(empty_values=(), orderable=False, attrs=SOFT)

    class Meta:
        model = Order
        fields = ("number", "shop", "ship_by", "pairs", "cover", "stands")
        order_by = "ship_by"
        empty_text = "No order fits. Widen what you ask for, or show all."

    @cached_property
    def entries(self):
        return entries(row.record for row in self.paginated_rows)

    def render_shop(self, value):
        return format_html("{}, <small>{}</small>", value.name, value.town)

    def render_ship_by(self, value):
        return short_day(value, timezone.localdate())

    def render_pairs(self, record):
        return f"{self.entries[record.pk].cover.pairs:,}"

    def order_pairs(self, orders, descending):
        return with_sums(orders).order_by("-ordered" if descending else "ordered", "number"), True

    def render_cover(self, record):
        return draw_cover(self.entries[record.pk].cover, width=262)

    def order_cover(self, orders, descending):
        """By open pairs: the bar's bare end."""
        return with_sums(orders).order_by("-still_open" if descending else "still_open", "number"), True

    def render_stands(self, record):
        return self.entries[record.pk].standing.in_words()


class BookSheet(BookTable):
    """The same for a spreadsheet: plain figures, every part of the cover in a column of its own."""

    town = tables.Column(accessor="shop__town")
    reference = tables.Column("Their reference")
    grade = tables.Column()
    placed_on = tables.Column("Placed")
    status = tables.Column()
    sent = tables.Column(empty_values=())
    set_aside = tables.Column("Set aside", empty_values=())
    open = tables.Column(empty_values=())

    class Meta(BookTable.Meta):
        fields = sequence = (
            "number", "shop", "town", "reference", "grade", "placed_on", "ship_by", "status",
            "pairs", "sent", "set_aside", "open", "stands", "cover",
        )  # fmt: skip

    @cached_property
    def entries(self):
        return entries(self.data.data)

    def value_shop(self, value):
        return value.name

    def value_ship_by(self, value):
        return value

    def value_pairs(self, record):
        return self.entries[record.pk].cover.pairs

    def value_sent(self, record):
        return self.entries[record.pk].cover.sent

    def value_set_aside(self, record):
        return self.entries[record.pk].cover.set_aside

    def value_open(self, record):
        return self.entries[record.pk].cover.open

    def value_stands(self, record):
        return self.entries[record.pk].standing.in_words()
