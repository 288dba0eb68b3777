"""Reads of the shops' pages."""

from django.db.models import Count, Max, OuterRef, Q, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce

from orders.models import Address, Order, OrderLine, Shop
from orders.models.order import CONFIRMED, DRAFT


def shops_for_list() -> QuerySet[Shop]:
    """Every shop with `open_orders` and `last_order` (day of the newest order placed)."""
    return Shop.objects.annotate(
        open_orders=Count("orders", filter=Q(orders__status=CONFIRMED)),
        last_order=Max("orders__placed_on", filter=~Q(orders__status=DRAFT)),
    )


def orders_of(shop: Shop) -> QuerySet[Order]:
    """The shop's orders, newest first, each with its `pairs`."""
    pairs = OrderLine.objects.filter(order=OuterRef("pk")).order_by().values("order").annotate(sum=Sum("pairs"))
    return shop.orders.annotate(pairs=Coalesce(Subquery(pairs.values("sum")), 0)).order_by("-number")


def invoice_address_of(shop: Shop) -> Address | None:
    """Where invoices go: the usual invoice address, else any, else the usual delivery address, else any."""
    found = sorted(
        shop.addresses.all(), key=lambda address: (address.kind != "invoice", not address.usual, address.pk)
    )
    return found[0] if found else None


def order_address_of(shop: Shop) -> str:
    """The e-mail address of whoever orders at the shop; "" where none is known."""
    rows = shop.contacts.exclude(email="").values_list("email", "does")
    found = sorted(rows, key=lambda row: ("order" not in row[1].lower() and "buy" not in row[1].lower(), row[0]))
    return found[0][0] if found else ""
