"""The order book as a table. Figures are fetched once for the rows shown."""

from functools import cached_property
from itertools import islice

import django_tables2 as tables
from django.utils import timezone
from django.utils.html import format_html

from inventory.models import SECONDS
from inventory.tables.columns import DATE, RIGHT, SOFT
from orders.cover_svg import draw_cover
from orders.models import Order
from orders.queries.book import AT_ONCE, Entry, OpenBook, entries, with_sums
from orders.standing import short_day


class BookTable(tables.Table):
    caption = "Orders"
    number = tables.Column("Order", linkify=True)
    shop = tables.Column(order_by=("shop__name", "number"))
    ship_by = tables.Column("Ship by", order_by=("ship_by", "shop__rank", "number"), attrs=DATE, default="no day yet")
    pairs = tables.Column(empty_values=(), attrs=RIGHT)
    cover = tables.Column(empty_values=())
    stands = tables.Column(empty_values=(), orderable=False, attrs=SOFT)

    class Meta:
        model = Order
        fields = ("number", "shop", "ship_by", "pairs", "cover", "stands")
        order_by = "ship_by"
        empty_text = "No order fits. Widen what you ask for, or show all."

    def __init__(self, *args, book: OpenBook | None = None, **kwargs):
        super().__init__(*args, **kwargs)
        self.book, self.today = book, timezone.localdate()

    @cached_property
    def entries(self):
        return entries((row.record for row in self.paginated_rows), self.book)

    def render_shop(self, value, record):
        mark = format_html(" <b>{}</b>", "Seconds") if record.grade == SECONDS else ""
        return format_html("{}, <small>{}</small>{}", value.name, value.town, mark)

    def render_ship_by(self, value, record):
        when, promised = short_day(value, self.today), self.entries[record.pk].promised
        if promised is None:
            return when
        told = "promised" if promised == value else f"promised {short_day(promised, self.today)}"
        return format_html("{}<br><small>{}</small>", when, told)

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


class BookSheet:
    """The same orders for a spreadsheet: plain figures, every part of the cover in a column of its own.

    No django-tables2 here: it takes ten times as long a row, and ten years of orders would outlast the server's
    patience.
    """

    HEAD = (
        "Order", "Shop", "Town", "Their reference", "Grade", "Placed", "Ship by", "Promised", "Status",
        "Pairs", "Sent", "Set aside", "On the floor", "Planned", "Open", "Stands",
    )  # fmt: skip

    def __init__(self, orders):
        self.orders = orders

    def as_values(self):
        yield self.HEAD
        for orders in batched(self.orders.iterator(AT_ONCE)):
            found = entries(orders)
            for order in orders:
                yield _sheet_row(order, found[order.pk])


def batched(rows, size: int = AT_ONCE):
    """The rows in lists of `size`."""
    rows = iter(rows)
    while batch := list(islice(rows, size)):
        yield batch


def _sheet_row(order: Order, entry: Entry) -> tuple:
    cover = entry.cover
    return (
        order.number, order.shop.name, order.shop.town, order.reference, order.grade, order.placed_on,
        order.ship_by or "", entry.promised or "", order.status,
        cover.pairs, cover.sent, cover.set_aside, cover.on_floor, cover.planned, cover.open, entry.standing.in_words(),
    )  # fmt: skip
