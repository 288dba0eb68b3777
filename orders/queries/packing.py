"""What the packing bench shows: what can go, what is in boxes, what is to be fetched from which shelf."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date

from django.db.models import Count, F, OuterRef, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce
from django.utils import timezone

from inventory.models import SECONDS, Lot, Shelf
from inventory.words import in_pairs
from orders.documents.parts import candle_facts
from orders.models import (
    Box,
    CreditNote,
    Delivery,
    DeliveryLine,
    Invoice,
    Order,
    OrderLine,
    Paper,
    ProForma,
    SetAside,
    VanDay,
)
from orders.models.delivery import PACKING
from orders.models.order import CONFIRMED
from orders.packable import why_not_packed
from orders.queries.book import HAS_UNPACKED
from orders.queries.credit import shops_over_limit
from orders.queries.promises import acknowledgements_of
from orders.van_days import van_day_for


def weekdays() -> list[int]:
    return list(VanDay.objects.values_list("weekday", flat=True))


def next_van_day(ship_by: date) -> date:
    """The last van that keeps the ship-by date, or the next one."""
    return van_day_for(ship_by, timezone.localdate(), weekdays())


@dataclass(frozen=True)
class Ready:
    """An order with pairs set aside that lie in no box. `why`: what keeps it from being packed; empty if nothing."""

    order: Order
    van_day: date
    pairs: int
    why: str
    hint: str

    @property
    def pk(self) -> int:
        return self.order.pk


def ready_orders(today: date) -> list[Ready]:
    """By van day, then shop; what cannot be packed stands among them with its reason. Seven queries at most."""
    goes_on = weekdays()
    promises = SetAside.objects.filter(line__order=OuterRef("pk")).order_by().values("line__order")
    lines = OrderLine.objects.filter(order=OuterRef("pk")).order_by().values("order")
    orders = (
        Order.objects.filter(HAS_UNPACKED, status=CONFIRMED)
        .select_related("shop")
        .annotate(
            ready=Subquery(promises.annotate(n=Sum(F("pairs") - F("packed"))).values("n")),
            packed=Coalesce(Subquery(promises.annotate(n=Sum("packed")).values("n")), 0),
            unsent=Subquery(lines.annotate(n=Sum(F("pairs") - F("sent"))).values("n")),
        )
    )
    orders = list(orders)
    over = shops_over_limit({order.shop_id for order in orders})
    rows = [
        Ready(
            order,
            van_day_for(order.ship_by, today, goes_on),
            order.ready,
            why_not_packed(
                order, ready=order.ready, owed=order.unsent - order.packed, over_limit=order.shop_id in over
            ),
            _hint(order),
        )
        for order in orders
    ]
    return sorted(rows, key=lambda row: (row.van_day, row.order.shop.name, row.order.number))


def _hint(order: Order) -> str:
    parts = []
    still_open = order.unsent - order.packed - order.ready
    if still_open:
        parts.append(f"part delivery: {in_pairs(still_open)} still to come")
    if order.shop.pro_forma_first:
        parts.append("pays before we send: see that it is paid")
    if order.shop.packer_notes:
        parts.append(order.shop.packer_notes)
    return "; ".join(parts)


def deliveries(state: str) -> QuerySet[Delivery]:
    """Deliveries in one state by van day, each with `box_count` and `pair_count`."""
    pairs = DeliveryLine.objects.filter(delivery=OuterRef("pk")).order_by().values("delivery")
    return (
        Delivery.objects.filter(state=state)
        .select_related("order__shop", "note", "started_by")
        .annotate(
            box_count=Count("boxes"),
            pair_count=Coalesce(Subquery(pairs.annotate(n=Sum("pairs")).values("n")), 0),
        )
        .order_by("van_day", "closed_at", "pk")
    )


@dataclass
class Pick:
    """One stop of the walk: pairs of one lot, and the orders they are for: (order, pairs).

    `box`: code of the box of seconds they lie in, if any; the whole box is fetched.
    """

    lot: Lot
    shelf: Shelf | None
    box: str = ""
    pairs: int = 0
    orders: list[tuple[Order, int]] = field(default_factory=list)

    @property
    def second(self) -> bool:
        return self.lot.grade == SECONDS

    @property
    def picture(self) -> dict:
        return candle_facts(self.lot.candle)["picture"]


def picks_for_van(van_day: date, today: date) -> list[Pick]:
    """What has to be fetched for the van of that day: pairs of orders that can be packed, and of boxes still open."""
    ready = [row.order.pk for row in ready_orders(today) if row.van_day <= van_day and not row.why]
    return _picks([*_unpacked(ready), *_lines_on_bench(Delivery.objects.filter(state=PACKING, van_day__lte=van_day))])


def picks_for_order(order: Order) -> list[Pick]:
    """What has to be fetched for one order."""
    return _picks([*_unpacked([order.pk]), *_lines_on_bench(order.deliveries.filter(state=PACKING))])


def _unpacked(order_ids: list[int]) -> Iterable[tuple[OrderLine, Lot, int]]:
    promises = SetAside.objects.filter(line__order__in=order_ids, pairs__gt=F("packed"))
    for promise in promises.select_related(*_WITH):
        yield promise.line, promise.lot, promise.pairs - promise.packed


def _lines_on_bench(open_deliveries: QuerySet[Delivery]) -> Iterable[tuple[OrderLine, Lot, int]]:
    for line in DeliveryLine.objects.filter(delivery__in=open_deliveries).select_related(*_WITH):
        yield line.line, line.lot, line.pairs


_WITH = ("line__order__shop", "line__seconds_box", "lot__candle__colour", "lot__candle__shelf", "lot__shelf")


def _picks(rows: Iterable[tuple[OrderLine, Lot, int]]) -> list[Pick]:
    picks: dict[tuple[int, str], Pick] = {}
    for line, lot, pairs in sorted(rows, key=lambda row: row[0].order.number):
        box = line.seconds_box.code if line.seconds_box_id else ""
        pick = picks.setdefault((lot.pk, box), Pick(lot, lot.shelf or lot.candle.shelf, box))
        pick.pairs += pairs
        # Two lines of one order from one lot are fetched in one go.
        before = pick.orders.pop()[1] if pick.orders and pick.orders[-1][0] == line.order else 0
        pick.orders.append((line.order, before + pairs))
    return sorted(picks.values(), key=_walk)


def _walk(pick: Pick) -> tuple:
    # Lots without a shelf come last: they have to be looked for.
    place = (0, pick.shelf.walk, pick.shelf.code) if pick.shelf else (1, 0, "")
    return (*place, pick.box, pick.lot.candle.code, pick.lot.made_on, pick.lot.pk)


def papers_of_van(van_day: date) -> list[Delivery]:
    """Deliveries of a van day whose boxes are closed, packed or already left, in the order they were packed."""
    rows = Delivery.objects.filter(van_day=van_day, note__isnull=False, note__cancellation=None)
    return list(
        rows.exclude(state=PACKING)
        .select_related("note", "order__shop")
        .prefetch_related("boxes__slip")
        .order_by("closed_at", "pk")
    )


def papers_of_order(order: Order, *, invoices: bool) -> list[Paper]:
    """Every paper of an order, void ones too, those of the ledger only where they may be seen, as they were issued."""
    kinds = [
        order.deliveries.values("note"),
        Box.objects.filter(delivery__order=order).values("slip"),
        acknowledgements_of(order).values("pk"),
    ]
    if invoices:
        for way in ("order", "deliveries__delivery__order"):
            kinds.append(Invoice.objects.filter(**{way: order}).values("paper"))
            kinds.append(CreditNote.objects.filter(**{f"invoice__{way}": order}).values("paper"))
        kinds.append(ProForma.objects.filter(order=order).values("paper"))
    # Kind by kind, not "one or the other" through joins: for that both databases read every paper there is.
    first, *others = (keys.order_by() for keys in kinds)
    rows = Paper.objects.filter(pk__in=first.union(*others)).select_related("cancellation", "issued_by")
    return list(rows.defer("content").order_by("pk"))
