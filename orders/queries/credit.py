"""What a shop owes against its credit limit, in GBP: read where orders are taken and packed."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal

from orders.models import ExchangeRate, Shop
from orders.models.invoice import DEPOSIT
from orders.money import NOUGHT
from orders.queries.debts import PENCE, add_up, charges_with_open, invoices_with_open, on_account


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
    """The shop's debt of today. Three queries, one more for each other currency."""
    papers, account = _open_sums(shop), on_account([shop.pk])
    owed = late = NOUGHT
    days = []
    for currency in {one.currency for one in papers} | {currency for _, currency in account}:
        theirs = [one for one in papers if one.currency == currency]
        sums, oldest = add_up(theirs, account.get((shop.pk, currency), NOUGHT), today)
        rate = _sterling(currency)
        owed += (sums.owed * rate).quantize(PENCE, ROUND_HALF_UP)
        late += (max(NOUGHT, sums.late - sums.on_account) * rate).quantize(PENCE, ROUND_HALF_UP)
        days += [oldest] if oldest else []
    return Credit(owed, late, min(days, default=None), shop.credit_limit)


@dataclass(frozen=True)
class OpenSum:
    """What is open of one paper, without the paper."""

    currency: str
    due_on: date
    open: Decimal
    asked_for: bool = True


def _open_sums(shop: Shop) -> list[OpenSum]:
    invoices = invoices_with_open().filter(open__gt=0, shop=shop).order_by()
    charges = charges_with_open().filter(open__gt=0, shop=shop).order_by()
    found = [
        OpenSum(currency, due_on, still_open.quantize(PENCE), kind != DEPOSIT)
        for currency, due_on, still_open, kind in invoices.values_list("currency", "due_on", "open", "kind")
    ]
    for currency, due_on, still_open in charges.values_list("currency", "due_on", "open"):
        found.append(OpenSum(currency, due_on, still_open.quantize(PENCE)))
    return found


def over_limit(shop: Shop) -> bool:
    """Whether the shop owes more than its limit now; asks nothing where it has none."""
    return shop.credit_limit is not None and owed_by([shop.pk]).get(shop.pk, NOUGHT) > shop.credit_limit


def shops_over_limit(shops: Iterable[int]) -> set[int]:
    """Which of these shops owe more than their limit. Four queries, whatever their number."""
    rows = Shop.objects.filter(pk__in=list(shops), credit_limit__isnull=False).values_list("pk", "credit_limit")
    limits = dict(rows)
    owed = owed_by(limits) if limits else {}
    return {shop for shop, limit in limits.items() if owed.get(shop, NOUGHT) > limit}


def owed_by(shops: Iterable[int]) -> dict[int, Decimal]:
    """What each owes as `Credit.owed` has it, without the papers it consists of; who owes nothing is left out.

    Three queries, one more for each other currency.
    """
    shops, sums = list(shops), defaultdict(Decimal)
    for every in (invoices_with_open(), charges_with_open()):
        rows = every.filter(open__gt=0, shop__in=shops).order_by()
        for shop, currency, still_open in rows.values_list("shop", "currency", "open"):
            sums[shop, currency] += still_open.quantize(PENCE)
    for key, left in on_account(shops).items():
        sums[key] -= left
    rates = {currency: _sterling(currency) for currency in {currency for _, currency in sums}}
    owed = defaultdict(Decimal)
    for (shop, currency), amount in sums.items():
        owed[shop] += (amount * rates[currency]).quantize(PENCE, ROUND_HALF_UP)
    return dict(owed)


def _sterling(currency: str) -> Decimal:
    if currency == "GBP":
        return Decimal(1)
    newest = ExchangeRate.objects.filter(currency=currency).order_by("-since").first()
    return newest.sterling if newest else Decimal(1)
