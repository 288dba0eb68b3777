"""Bags of firelighters on an order of seconds: kept for it from the draft on, sent with its next delivery.

A bag is promised by the row of an order that is not over; what stands filled is the sum of production's wick ends,
whose lock (the last of all) is held while bags are promised.
"""

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Sum

from inventory.domain.records import record
from inventory.models import SECONDS, Workshop
from inventory.words import counted
from orders.domain.ordering import lock_order
from orders.models import Delivery, Order, OrderBags
from orders.models.bags import MOST_BAGS
from orders.models.order import CANCELLED, DRAFT
from orders.prices import STERLING
from production.domain.wick_ends import book_wick_ends, lock_wick_ends, wick_ends_there


def free_bags() -> int:
    """Bags that stand filled and are on no order. Two queries."""
    taken = OrderBags.objects.filter(sold=None).exclude(order__status=CANCELLED).aggregate(n=Sum("bags", default=0))
    return wick_ends_there()["bags"] - taken["n"]


@transaction.atomic
def put_bags(*, order: Order, bags: int, by) -> OrderBags | None:
    """So many bags on a draft of seconds, at the set-up's price; 0 takes them off. ValidationError for `bags`."""
    order = lock_order(order)
    if order.status != DRAFT or order.grade != SECONDS:
        raise ValidationError({"bags": "Bags are put on a draft of seconds, and stay with it once it is confirmed."})
    if not 0 <= bags <= MOST_BAGS:
        raise ValidationError({"bags": f"A whole number of bags, at most {MOST_BAGS:,}."})
    lock_wick_ends()
    before = OrderBags.objects.filter(order=order).first()
    if bags == (before.bags if before else 0):
        return before
    if before:
        before.delete()
    record(subject="order", subject_id=order.pk, what=f"{counted(bags, 'bag')} of firelighters", by=by)
    return OrderBags.objects.create(order=order, bags=bags, price=_price(order, bags)) if bags else None


def _price(order: Order, bags: int):
    price = Workshop.objects.filter(pk=1).values_list("firelighter_price", flat=True).first()
    if price is None:
        raise ValidationError({"bags": "Set-up has no price for a bag of firelighters yet: Set-up, The workshop."})
    if order.currency != STERLING:
        raise ValidationError({"bags": f"Bags are sold in pounds, and this order is in {order.currency}."})
    free = free_bags()
    if bags > free:
        raise ValidationError({"bags": f"Only {free:,} bags are free." if free > 0 else "No bag is free."})
    return price


def pack_bags(delivery: Delivery) -> None:
    """They go with this delivery, unless they went before. The order is locked."""
    OrderBags.objects.filter(order=delivery.order_id, delivery=None).update(delivery=delivery)


def unpack_bags(delivery: Delivery) -> None:
    OrderBags.objects.filter(delivery=delivery).update(delivery=None)


def send_bags(delivery: Delivery, *, by) -> None:
    """The van has left with them: they leave the stock. ValidationError where fewer stand filled than go."""
    row = OrderBags.objects.filter(delivery=delivery, sold=None).first()
    if row is None:
        return
    try:
        row.sold = book_wick_ends(kind="sold", bags=row.bags, note=f"With {delivery.note.number}", by=by)
    except ValidationError:
        there = wick_ends_there()["bags"]
        raise ValidationError(
            f"{counted(row.bags, 'bag')} of firelighters go with it, and {there:,} stand filled: put the wick ends "
            "right first."
        ) from None
    row.save(update_fields=["sold"])
