"""What a shop sees of one order of its own: how far it is, and its papers. Nothing of lots, faults, other shops."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import Q, QuerySet
from django.utils import timezone

from inventory.models import Candle
from inventory.words import day, in_pairs
from orders.models import Delivery, InvoicedDelivery, Order, Paper, ShopLink
from orders.models.delivery import LEFT, PACKED, PACKING
from orders.models.order import CANCELLED
from orders.models.paper import ACKNOWLEDGEMENT, DELIVERY_NOTE, INVOICE


@dataclass(frozen=True)
class OwnLine:
    candle: Candle
    pairs: int
    packed: int
    sent: int

    @property
    def to_come(self) -> int:
        return self.pairs - self.packed - self.sent


def own_lines(order: Order) -> list[OwnLine]:
    """The order's lines with what lies packed and what has left. Two queries."""
    packed: dict[int, int] = {}
    for delivery in order.deliveries.filter(state__in=(PACKING, PACKED)).prefetch_related("lines"):
        for part in delivery.lines.all():
            packed[part.line_id] = packed.get(part.line_id, 0) + part.pairs
    lines = order.lines.filter(pairs__gt=0).select_related("candle__colour", "candle__wax")
    return [OwnLine(line.candle, line.pairs, packed.get(line.pk, 0), line.sent) for line in lines]


def own_papers(order: Order) -> QuerySet[Paper]:
    """Acknowledgements and delivery notes of the order, and invoices over nothing but it; void ones not."""
    notes = Delivery.objects.filter(order=order, note__isnull=False).values("note")
    own = InvoicedDelivery.objects.filter(delivery__order=order).values("invoice")
    shared = InvoicedDelivery.objects.filter(invoice__in=own).exclude(delivery__order=order).values("invoice")
    rows = Paper.objects.filter(
        Q(kind=DELIVERY_NOTE, pk__in=notes)
        | Q(kind=ACKNOWLEDGEMENT, number__startswith=f"OA-{order.number}/")
        | Q(kind=INVOICE, invoice__in=own) & ~Q(invoice__in=shared),
        cancellation=None,
    )
    return rows.defer("content").order_by("-issued_at", "-pk")


@dataclass(frozen=True)
class OwnDays:
    """`promised`: the day we said; `left`: when the last delivery left; `van`: when what lies packed goes."""

    promised: date | None = None
    left: date | None = None
    van: date | None = None


def own_sentence(order: Order, lines: Iterable[OwnLine], days: OwnDays) -> str:
    """How the order stands, in one sentence."""
    lines = list(lines)
    pairs, sent, packed = (sum(getattr(line, name) for line in lines) for name in ("pairs", "sent", "packed"))
    of, by = f"of order {order.number}", f"we promised by {day(days.promised)}" if days.promised else ""
    if order.status == CANCELLED:
        return f"Order {order.number} was called off."
    if pairs and sent == pairs:
        return f"All {in_pairs(pairs)} {of} are on their way; the last left us on {day(days.left)}."
    if packed and sent + packed == pairs and days.van:
        rest = "All" if not sent else "The other"
        return f"{rest} {in_pairs(packed)} {of} are packed, for our van of {day(days.van)}."
    by = by or "no day is promised yet"
    if not sent:
        return f"None of the {in_pairs(pairs)} {of} has left yet; {by}."
    return f"{sent:,} of {in_pairs(pairs)} {of} have left; the rest is to come, {by}."


def standing_link(order: Order) -> ShopLink | None:
    return order.shop_links.filter(withdrawn_at=None, ends_at__gt=timezone.now()).first()


def own_days(order: Order) -> OwnDays:
    """Three queries."""
    promise = order.promised_dates.first()
    left = order.deliveries.filter(state=LEFT).order_by("-left_on").values_list("left_on", flat=True).first()
    packed = order.deliveries.filter(state__in=(PACKING, PACKED)).order_by("-van_day")
    van = packed.values_list("van_day", flat=True).first()
    return OwnDays(promise.day if promise else None, left, van)
