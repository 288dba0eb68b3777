"""Days promised to shops, and the papers that state them."""

from collections.abc import Iterable
from datetime import date

from django.db.models import QuerySet

from orders.models import Order, Paper, PromisedDate
from orders.models.paper import ACKNOWLEDGEMENT


def acknowledgements_of(order: Order) -> QuerySet[Paper]:
    """The newest first."""
    return Paper.objects.filter(kind=ACKNOWLEDGEMENT, number__startswith=f"OA-{order.number}/").order_by("-pk")


def promised_days(orders: Iterable[int]) -> dict[int, date]:
    """By order: the day promised last. One query."""
    rows = PromisedDate.objects.filter(order__in=list(orders)).order_by("pk").values_list("order", "day")
    return dict(rows)


def addresses_of(order: Order) -> str:
    """E-mail addresses of the shop's people, those who order first; "" where none is known."""
    rows = order.shop.contacts.exclude(email="").values_list("email", "does")
    found = sorted(rows, key=lambda row: ("order" not in row[1].lower() and "buy" not in row[1].lower(), row[0]))
    return found[0][0] if found else ""
