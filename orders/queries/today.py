"""What Today shows: orders due, what they lack, what waits for the van, the ledger or a second look."""

from dataclasses import dataclass
from datetime import date

from django.db.models import Count, F, Min, QuerySet, Sum

from inventory.models import Candle
from inventory.queries.stockroom import free_by_candle
from orders.models import Delivery, Order, OrderLine
from orders.models.delivery import PACKED
from orders.models.order import CONFIRMED, DRAFT
from orders.queries.book import MISSING, ON_FLOOR, PLANNED, OpenBook, entries, orders_listed, ready
from orders.queries.invoices import to_invoice
from orders.today import Leaving
from production.queries.grading import hard_frames


def due_orders(until: date) -> QuerySet[Order]:
    """Confirmed orders with a ship-by date up to and including `until`."""
    return orders_listed().filter(status=CONFIRMED, ship_by__lte=until)


def leaving(until: date, book: OpenBook) -> list[Leaving]:
    orders = list(due_orders(until))
    found = entries(orders, book)
    return [Leaving(order.ship_by, found[order.pk].standing) for order in orders]


@dataclass(frozen=True)
class ShortCandle:
    """Pairs of one candle that the orders due still lack: `hung` of them hang, `planned` will, `open` are neither.

    `free` firsts lie on the shelf and are nobody's yet.
    """

    candle: Candle
    hung: int
    planned: int
    open: int
    orders: int
    first: date
    free: int


def short_candles(until: date) -> list[ShortCandle]:
    """Candles the due orders of firsts lack, the most pressing first. Three queries."""
    lines = OrderLine.objects.filter(
        order__status=CONFIRMED,
        order__grade="firsts",
        order__ship_by__lte=until,
        pairs__gt=F("sent") + F("set_aside"),
    ).order_by()
    sums = (
        lines.annotate(hung=ON_FLOOR, meant=PLANNED)
        .values("candle")
        .annotate(
            missing=Sum(MISSING),
            on_floor=Sum("hung"),
            planned=Sum("meant"),
            orders=Count("order", distinct=True),
            first=Min("order__ship_by"),
        )
    )
    rows = {row["candle"]: row for row in sums}
    candles = Candle.objects.select_related("colour").in_bulk(rows)
    free = free_by_candle(rows, "firsts")
    found = [
        ShortCandle(
            candles[pk],
            row["on_floor"],
            row["planned"],
            max(0, row["missing"] - row["on_floor"] - row["planned"]),
            row["orders"],
            row["first"],
            free[pk],
        )
        for pk, row in rows.items()
    ]
    return sorted(found, key=lambda short: (short.first, -short.open, short.candle.code))


@dataclass(frozen=True)
class Waiting:
    """How much lies waiting for somebody's next step."""

    ready: int
    for_the_van: int
    to_invoice: int
    drafts: int
    to_grade: int


def waiting() -> Waiting:
    """Five counts, a query each."""
    return Waiting(
        ready=ready(Order.objects.filter(shop__on_stop=False)).count(),
        for_the_van=Delivery.objects.filter(state=PACKED).count(),
        to_invoice=to_invoice().count(),
        drafts=Order.objects.filter(status=DRAFT).count(),
        to_grade=hard_frames().count(),
    )
