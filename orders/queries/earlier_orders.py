"""What a shop ordered before, and what it owes: read while a new order is typed."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Max, OuterRef, Q, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce

from orders.models import InvoiceLine, Order, OrderLine, Shop, VanDay
from orders.models.order import CONFIRMED, DONE
from orders.money import NOUGHT, line_net
from orders.queries.credit import credit_of
from orders.van_days import van_days_from

DAYS_TO_MAKE = 7  # an order typed today leaves with the first van after a week, unless another day is given
CHRISTMAS = (10, 11, 12)  # ship-by months of what a shop calls its Christmas order


@dataclass(frozen=True)
class Standing:
    """What the shop would owe with this order, GBP with VAT; `limit` None: no limit was set. `late`: of `owed`."""

    owed: Decimal
    late: Decimal
    not_invoiced: Decimal
    this_order: Decimal
    limit: Decimal | None

    @property
    def total(self) -> Decimal:
        return self.owed + self.not_invoiced + self.this_order

    @property
    def over(self) -> bool:
        return self.limit is not None and self.total > self.limit


def last_time(order: Order) -> Order | None:
    """The shop's newest order of the same grade that was confirmed, with its `pairs`."""
    return _taken(order).order_by("-placed_on", "-number").first()


def last_christmas(order: Order, today: date) -> Order | None:
    """The shop's largest order with a ship-by date in October to December of last year, with its `pairs`."""
    season = _taken(order).filter(ship_by__year=today.year - 1, ship_by__month__in=CHRISTMAS)
    return season.order_by("-pairs", "-number").first()


def is_christmas(ship_by: date | None) -> bool:
    return ship_by is not None and ship_by.month in CHRISTMAS


def _taken(order: Order) -> QuerySet[Order]:
    pairs = OrderLine.objects.filter(order=OuterRef("pk")).order_by().values("order").annotate(sum=Sum("pairs"))
    taken = Order.objects.filter(shop=order.shop, grade=order.grade, status__in=(CONFIRMED, DONE))
    return taken.exclude(pk=order.pk).annotate(pairs=Coalesce(Subquery(pairs.values("sum")), 0)).filter(pairs__gt=0)


def sensible_ship_by(today: date) -> date:
    """The first van day at least a week off."""
    weekdays = list(VanDay.objects.values_list("weekday", flat=True))
    return next(day for day in van_days_from(today, weekdays, 15) if (day - today).days >= DAYS_TO_MAKE)


def standing_of(shop: Shop, *, this_order: Decimal, today: date) -> Standing:
    """What the shop owes (see Credit), and goods of confirmed orders that stand on no invoice yet (without VAT)."""
    lines = OrderLine.objects.filter(order__shop=shop, order__status__in=(CONFIRMED, DONE)).select_related("order")
    billed = InvoiceLine.objects.filter(order_line=OuterRef("pk"), invoice__paper__cancellation__isnull=True)
    billed = billed.order_by().values("order_line").annotate(sum=Sum("pairs"))
    lines = lines.annotate(billed=Coalesce(Subquery(billed.values("sum")), 0)).filter(
        Q(pairs__gt=Coalesce(Subquery(billed.values("sum")), 0))
    )
    open_goods = sum((line_net(line.pairs - line.billed, line.price, line.discount) for line in lines), NOUGHT)
    credit = credit_of(shop, today)
    return Standing(credit.owed, credit.late, open_goods, this_order, shop.credit_limit)


def drafts_begun() -> QuerySet[Order]:
    """Drafts not yet confirmed, the newest first, each with its `pairs` and how many lines."""
    pairs = OrderLine.objects.filter(order=OuterRef("pk")).order_by().values("order").annotate(sum=Sum("pairs"))
    drafts = Order.objects.filter(status="draft").select_related("shop", "made_by")
    rows = drafts.annotate(pairs=Coalesce(Subquery(pairs.values("sum")), 0), rows=Coalesce(Max("lines__position"), 0))
    return rows.order_by("-number")
