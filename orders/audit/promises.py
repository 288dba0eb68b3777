"""Set aside: counters against rows, cover within the pairs ordered, grades apart, wants in step."""

from collections.abc import Iterator

from django.db.models import F, IntegerField, OuterRef, Q, Subquery, Sum, Value
from django.db.models.functions import Coalesce

from inventory.models import Lot
from orders.models import Order, OrderLine, SecondsBoxContent, SetAside
from orders.models.order import CANCELLED, CONFIRMED, DONE, DRAFT
from orders.models.seconds_box import ON_SHELF, SOLD
from production.models import Want


def breaches() -> Iterator[str]:
    yield from _lot_counters()
    yield from _line_counters()
    yield from _wrong_pairs()
    yield from _orders_in_wrong_state()
    yield from _wants()


def sum_of(queryset, field: str, key: str):
    """Sum of `field` over the rows whose `key` is the outer row; 0 where there are none."""
    rows = queryset.filter(**{key: OuterRef("pk")}).order_by().values(key).annotate(total=Sum(field)).values("total")
    return Coalesce(Subquery(rows, output_field=IntegerField()), Value(0))


def _lot_counters():
    """A lot's counter is what lines were promised and what boxes of seconds hold that no confirmed order has."""
    lots = Lot.objects.annotate(
        promised=sum_of(SetAside.objects, "pairs", "lot"), boxed=sum_of(held_for_boxes(), "pairs", "lot")
    )
    for lot in lots.exclude(set_aside=F("promised") + F("boxed")).order_by("pk").iterator():
        in_boxes = f" and its boxes of seconds hold {lot.boxed}" if lot.boxed else ""
        yield f"lot {lot.code}: set aside says {lot.set_aside} pairs, its promises add up to {lot.promised}{in_boxes}"


def held_for_boxes():
    """Contents of boxes of seconds on the shelf or in a draft: held, and promised to no line."""
    return SecondsBoxContent.objects.filter(Q(box__state=ON_SHELF) | Q(box__state=SOLD, box__order__status=DRAFT))


def _line_counters():
    lines = OrderLine.objects.select_related("order").annotate(
        promised=sum_of(SetAside.objects, "pairs", "line"),
    )
    for line in lines.exclude(set_aside=F("promised")).order_by("pk").iterator():
        yield (
            f"order {line.order.number} line {line.position}: set aside says {line.set_aside} pairs, "
            f"its promises add up to {line.promised}"
        )
    for line in lines.filter(pairs__lt=F("sent") + F("set_aside")).order_by("pk").iterator():
        yield (
            f"order {line.order.number} line {line.position}: {line.sent} sent and {line.set_aside} set aside "
            f"are more than the {line.pairs} pairs ordered"
        )


def _wrong_pairs():
    """A second never fills a firsts line, nor one candle another's."""
    promises = SetAside.objects.select_related("line__order", "lot", "line__candle", "lot__candle")
    for promise in promises.exclude(lot__grade=F("line__order__grade")).order_by("pk").iterator():
        yield (
            f"order {promise.line.order.number} line {promise.line.position}: {promise.lot.grade} of lot "
            f"{promise.lot.code} set aside for an order of {promise.line.order.grade}"
        )
    for promise in promises.exclude(lot__candle=F("line__candle")).order_by("pk").iterator():
        yield (
            f"order {promise.line.order.number} line {promise.line.position}: lot {promise.lot.code} holds "
            f"{promise.lot.candle.code}, the line wants {promise.line.candle.code}"
        )
    for promise in promises.filter(Q(pairs__lte=0) | Q(packed__gt=F("pairs"))).order_by("pk").iterator():
        yield (
            f"order {promise.line.order.number} line {promise.line.position}: promise of lot {promise.lot.code} has "
            f"{promise.pairs} pairs, {promise.packed} of them packed"
        )


def _orders_in_wrong_state():
    held = Order.objects.annotate(held=sum_of(OrderLine.objects, "set_aside", "order"))
    for order in held.filter(status__in=(DRAFT, CANCELLED), held__gt=0).order_by("pk").iterator():
        yield f"order {order.number} is {order.status} but has {order.held} pairs set aside"
    owing = Order.objects.annotate(
        wanted=sum_of(OrderLine.objects, "pairs", "order"), left=sum_of(OrderLine.objects, "sent", "order")
    )
    for order in owing.filter(status=DONE).exclude(wanted=F("left")).order_by("pk").iterator():
        yield f"order {order.number} is done, but {order.left} of {order.wanted} pairs were sent"
    for order in owing.filter(status=CONFIRMED, wanted__gt=0, wanted=F("left")).order_by("pk").iterator():
        yield f"order {order.number} has everything sent but is not done"


def _wants():
    """Each confirmed line's open firsts stand on the dip list once, and nothing stands there that is not open."""
    lines = OrderLine.objects.select_related("order", "want").annotate(open=F("pairs") - F("sent") - F("set_aside"))
    open_lines = Q(order__status=CONFIRMED, order__grade="firsts", open__gt=0)
    for line in lines.filter(open_lines, want=None).order_by("pk").iterator():
        yield f"order {line.order.number} line {line.position}: {line.open} open pairs are not on the dip list"
    for line in lines.filter(want__isnull=False).exclude(open_lines, want__pairs=F("open")).order_by("pk").iterator():
        yield (
            f"order {line.order.number} line {line.position}: {line.open} pairs are open, "
            f"the dip list wants {line.want.pairs}"
        )
    for line in lines.filter(want__isnull=False).exclude(want__candle=F("candle")).order_by("pk").iterator():
        yield f"order {line.order.number} line {line.position}: its want is for another candle"
    for want in Want.objects.filter(order_line=None).exclude(group="").order_by("pk").iterator():
        yield f"want {want.pk} ({want.pairs} pairs for {want.for_whom}) belongs to no order line"
