"""Reads of the shops' pages."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Count, Max, OuterRef, Q, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce

from orders.models import Address, Invoice, Order, OrderLine, Shop
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


@dataclass(frozen=True)
class Credit:
    """Gross amounts of a shop's invoices in GBP: `open` are those not yet due, which count against the limit.

    The book keeps no payments yet. Counting every invoice ever issued would put each good customer over its limit in
    time; so one past its day is taken as settled or in the owner's hands (a stop is set by him), and is shown apart.
    """

    invoices: int
    open: Decimal
    overdue: Decimal
    limit: Decimal | None

    @property
    def over(self) -> bool:
        return self.limit is not None and self.open > self.limit


def credit_of(shop: Shop, today: date) -> Credit:
    """Every invoice issued and not cancelled; `overdue`, from the day after it was due, is no part of `open`."""
    found = Invoice.objects.filter(shop=shop, paper__cancellation__isnull=True).aggregate(
        invoices=Count("pk"),
        open=Sum("gross", filter=Q(due_on__gte=today)),
        overdue=Sum("gross", filter=Q(due_on__lt=today)),
    )
    nought = Decimal("0.00")
    pence = {name: (found[name] or nought).quantize(nought) for name in ("open", "overdue")}
    return Credit(invoices=found["invoices"], limit=shop.credit_limit, **pence)


def invoice_address_of(shop: Shop) -> Address | None:
    """Where invoices go: the usual invoice address, else any, else the usual delivery address, else any."""
    found = sorted(
        shop.addresses.all(), key=lambda address: (address.kind != "invoice", not address.usual, address.pk)
    )
    return found[0] if found else None
