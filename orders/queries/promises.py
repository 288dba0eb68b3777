"""Days promised to shops, and the papers that state them."""

from collections.abc import Iterable
from datetime import date

from django.db.models import QuerySet

from orders.models import Order, Paper, PromisedDate
from orders.models.paper import ACKNOWLEDGEMENT
from orders.queries.shops import order_address_of


def acknowledgements_of(order: Order) -> QuerySet[Paper]:
    """The newest first."""
    theirs = Paper.objects.filter(shop=order.shop_id, kind=ACKNOWLEDGEMENT)
    return theirs.filter(number__startswith=f"OA-{order.number}/").order_by("-pk")


def promised_days(orders: Iterable[int]) -> dict[int, date]:
    """By order: the day promised last. One query."""
    rows = PromisedDate.objects.filter(order__in=list(orders)).order_by("pk").values_list("order", "day")
    return dict(rows)


def addresses_of(order: Order) -> str:
    """The e-mail address of whoever orders at the order's shop; "" where none is known."""
    return order_address_of(order.shop)
