"""A new order for pairs that came back: the same shop, prices and address, carriage free."""

import uuid

from django.utils import timezone

from inventory.domain.records import record
from inventory.words import in_pairs
from orders.domain.numbers import take_number
from orders.domain.order_checks import check_shop
from orders.domain.ordering import TERMS
from orders.domain.setting_aside import sync_wants
from orders.models import Delivery, Order, OrderLine
from orders.models.order import CONFIRMED
from orders.queries.earlier_orders import sensible_ship_by


def order_again(delivery: Delivery, pairs: dict[OrderLine, int], *, submission: uuid.UUID, by) -> Order:
    """A confirmed order of these pairs by order line. Belongs inside the transaction of the return.

    ValidationError where the shop is no longer served.
    """
    first, now = delivery.order, timezone.now()
    check_shop(first.shop)
    number, _ = take_number("order")
    kept = (*TERMS, "shop", "grade", "reference", "deliver_to", "order_discount", "order_discount_reason")
    order = Order.objects.create(
        **{**{name: getattr(first, name) for name in kept}, "carriage": 0, "carriage_free_above": None},
        number=number,
        status=CONFIRMED,
        notes=f"Sent again for {delivery}",
        ship_by=sensible_ship_by(timezone.localdate()),
        placed_on=timezone.localdate(),
        made_by=by,
        confirmed_at=now,
        submission=uuid.uuid5(submission, "again"),
    )
    OrderLine.objects.bulk_create(
        OrderLine(
            order=order,
            position=position,
            candle=line.candle,
            pairs=count,
            price=line.price,
            price_from=f"as on order {first.number}",
            takes_discount=line.takes_discount,
        )
        for position, (line, count) in enumerate(pairs.items(), start=1)
    )
    what = f"Confirmed: {in_pairs(sum(pairs.values()))} that came back of {delivery} are sent again."
    record(subject="order", subject_id=order.pk, what=what, by=by)
    sync_wants(order)
    return order
