"""Helpers of the tests of an order's pages."""

from django.urls import reverse

from orders.models import Order

ABSURD = ["", "0", "-1", "1000000000", "9" * 40, "a dozen", "2.5", "\x00"]  # pairs nobody may enter


def page(name: str, order: Order) -> str:
    """The address of a page about the order, its first line or that line's first promise."""
    line = order.lines.first()
    promise = line.promises.first()
    keys = {
        "order_change": [line.pk],
        "take_over": [line.pk],
        "other_colour": [line.pk],
        "release": [line.pk, promise.pk if promise else 0],
    }
    return reverse(name, args=keys.get(name, [order.number]))


def now(order: Order) -> Order:
    """The order as it stands in the database."""
    return Order.objects.get(pk=order.pk)


def text(response) -> str:
    return response.content.decode()
