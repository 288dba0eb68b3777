"""Deliveries: boxes add up to lines, lines to what was sent, what left to the movements of stock."""

from collections.abc import Iterator

from django.db.models import F, IntegerField, OuterRef, Q, Subquery, Sum, Value
from django.db.models.functions import Coalesce

from inventory.models import Movement
from orders.audit.promises import sum_of
from orders.models import BoxContent, Delivery, DeliveryLine, OrderBags, OrderLine, SetAside
from orders.models.delivery import LEFT, PACKED, PACKING


def breaches() -> Iterator[str]:
    yield from _boxes()
    yield from _sent()
    yield from _packed_promises()
    yield from _movements()
    yield from _wrong_lots()
    yield from _bags()


def _boxes():
    lines = DeliveryLine.objects.filter(delivery__state__in=(PACKED, LEFT)).annotate(
        boxed=sum_of(BoxContent.objects, "pairs", "delivery_line")
    )
    for line in lines.exclude(pairs=F("boxed")).select_related("delivery__note", "lot").order_by("pk").iterator():
        yield f"delivery {line.delivery}: {line.pairs} pairs of lot {line.lot.code}, but its boxes hold {line.boxed}"


def _sent():
    left = DeliveryLine.objects.filter(delivery__state=LEFT)
    lines = OrderLine.objects.annotate(left=sum_of(left, "pairs", "line")).exclude(sent=F("left"))
    for line in lines.select_related("order").order_by("pk").iterator():
        yield (
            f"order {line.order.number} line {line.position}: sent says {line.sent} pairs, "
            f"its deliveries that left add up to {line.left}"
        )


def _packed_promises():
    inside = DeliveryLine.objects.filter(
        delivery__state__in=(PACKING, PACKED), line=OuterRef("line"), lot=OuterRef("lot")
    )
    total = _outer_sum(inside)
    promises = SetAside.objects.annotate(inside=total).exclude(packed=F("inside"))
    for promise in promises.select_related("line__order", "lot").order_by("pk").iterator():
        yield (
            f"order {promise.line.order.number} line {promise.line.position}: {promise.packed} pairs of lot "
            f"{promise.lot.code} are marked packed, {promise.inside} lie in deliveries"
        )
    held = SetAside.objects.filter(line=OuterRef("line"), lot=OuterRef("lot"))
    lines = DeliveryLine.objects.filter(delivery__state__in=(PACKING, PACKED)).annotate(held=_outer_sum(held))
    for line in lines.filter(pairs__gt=F("held")).select_related("delivery__order", "lot").order_by("pk").iterator():
        yield (
            f"order {line.delivery.order.number}: {line.pairs} pairs of lot {line.lot.code} lie in a delivery, "
            f"{line.held} are set aside for it"
        )


def _outer_sum(queryset):
    """Pairs of the rows that share the outer row's line and lot; 0 where there are none."""
    rows = queryset.order_by().values("line", "lot").annotate(total=Sum("pairs")).values("total")
    return Coalesce(Subquery(rows, output_field=IntegerField()), Value(0))


def _movements():
    left = Q(delivery__state=LEFT)
    rows = DeliveryLine.objects.select_related("delivery__note", "lot", "movement")
    for line in rows.filter(left, movement=None).order_by("pk").iterator():
        yield f"delivery {line.delivery} left, but its {line.pairs} pairs of lot {line.lot.code} moved no stock"
    for line in rows.exclude(left).filter(movement__isnull=False).order_by("pk").iterator():
        yield f"delivery {line.delivery} has not left, but its pairs of lot {line.lot.code} did"
    wrong = ~Q(movement__pairs=-F("pairs")) | ~Q(movement__lot=F("lot")) | ~Q(movement__kind="sent")
    for line in rows.filter(wrong, movement__isnull=False).order_by("pk").iterator():
        yield (
            f"delivery {line.delivery}: {line.pairs} pairs of lot {line.lot.code}, but the movement says "
            f"{line.movement.pairs} ({line.movement.kind})"
        )
    for movement in (
        Movement.objects.filter(kind="sent", delivery_line=None).select_related("lot").order_by("pk").iterator()
    ):
        yield f"lot {movement.lot.code}: {-movement.pairs} pairs were sent without a delivery"


def _wrong_lots():
    lines = DeliveryLine.objects.select_related("delivery__order", "lot", "line__candle", "delivery__note")
    for line in lines.exclude(lot__grade=F("line__order__grade")).order_by("pk").iterator():
        yield f"delivery {line.delivery}: lot {line.lot.code} is {line.lot.grade}, the order is for the other grade"
    for line in lines.exclude(lot__candle=F("line__candle")).order_by("pk").iterator():
        yield f"delivery {line.delivery}: lot {line.lot.code} does not hold {line.line.candle.code}"
    for line in lines.exclude(line__order=F("delivery__order")).order_by("pk").iterator():
        yield f"delivery {line.delivery}: a line of another order lies in it"
    for delivery in Delivery.objects.filter(state__in=(PACKED, LEFT), note=None).order_by("pk").iterator():
        yield f"delivery {delivery.pk} is {delivery.state} but has no note"
    for delivery in Delivery.objects.filter(state=LEFT, left_on=None).order_by("pk").iterator():
        yield f"delivery {delivery.pk} left on no day"


def _bags():
    """Firelighters leave the stock with the van, as many as were ordered."""
    rows = OrderBags.objects.select_related("order", "delivery", "sold").order_by("pk")
    for row in rows.exclude(delivery=None):
        gone = -row.sold.bags if row.sold else 0
        if gone != (row.bags if row.delivery.state == LEFT else 0):
            yield f"order {row.order.number}: {row.bags} bags go with {row.delivery}, {gone} left the stock"
