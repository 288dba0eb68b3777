"""What a shop owes against its credit limit, in GBP: read where orders are taken and packed."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal

from django.utils import timezone

from orders.models import ExchangeRate, Shop
from orders.money import NOUGHT
from orders.queries.debts import PENCE, ShopDebt, debts


@dataclass(frozen=True)
class Credit:
    """What is open of all papers less what lies on account, in GBP with VAT; `late` of it is past its day.

    Debts in another currency count at the newest rate of the book.
    """

    owed: Decimal
    late: Decimal
    oldest: date | None
    limit: Decimal | None

    @property
    def over(self) -> bool:
        return self.limit is not None and self.owed > self.limit


def credit_of(shop: Shop, today: date) -> Credit:
    """The shop's debt of today. Five queries, two more where it owes another currency."""
    return _credit(shop, debts(today, [shop.pk]))


def over_limit(shop: Shop) -> bool:
    """Whether the shop owes more than its limit now; asks nothing where it has none."""
    return shop.credit_limit is not None and credit_of(shop, timezone.localdate()).over


def shops_over_limit(shops: Iterable[int]) -> set[int]:
    """Which of these shops owe more than their limit. Six queries, whatever their number."""
    limited = Shop.objects.filter(pk__in=list(shops), credit_limit__isnull=False).in_bulk()
    found: dict[int, list[ShopDebt]] = {}
    for debt in debts(timezone.localdate(), limited) if limited else ():
        found.setdefault(debt.shop.pk, []).append(debt)
    return {pk for pk, theirs in found.items() if _credit(limited[pk], theirs).over}


def _credit(shop: Shop, theirs: list[ShopDebt]) -> Credit:
    owed = late = NOUGHT
    for debt in theirs:
        rate = _sterling(debt.currency)
        owed += (debt.owed * rate).quantize(PENCE, ROUND_HALF_UP)
        late += (max(NOUGHT, debt.aged.late - debt.aged.on_account) * rate).quantize(PENCE, ROUND_HALF_UP)
    oldest = min((debt.oldest for debt in theirs if debt.oldest), default=None)
    return Credit(owed, late, oldest, shop.credit_limit)


def _sterling(currency: str) -> Decimal:
    if currency == "GBP":
        return Decimal(1)
    newest = ExchangeRate.objects.filter(currency=currency).order_by("-since").first()
    return newest.sterling if newest else Decimal(1)
