"""What a credit note takes off an invoice, rate by rate, and never more than is left of it. No Django.

A credit is at the rate of the original supply (from memory). Reckoned by itself its VAT may differ by a penny from the
invoice's, so what takes the last of a rate takes what is left of its VAT, and nothing ever goes below nought (common
practice, no source).
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from orders.money import NOUGHT, PENNY, Rate, RateSum, Total, share_over_rates, vat_of


class MoreThanLeft(ValueError):
    """Asked to credit more than the invoice has left."""


@dataclass(frozen=True)
class Left:
    """What is left of one rate of an invoice after the credit notes before; `invoiced` as it was issued."""

    invoiced: RateSum
    goods: Decimal
    allowance: Decimal
    deposit: Decimal
    carriage: Decimal
    vat: Decimal

    @property
    def taxable(self) -> Decimal:
        return self.goods - self.allowance - self.deposit + self.carriage


def left_at(invoiced: RateSum, credited: list[RateSum]) -> Left:
    """The rate's sums less those of earlier credit notes."""
    left = {
        name: getattr(invoiced, name) - sum((getattr(part, name) for part in credited), NOUGHT)
        for name in ("goods", "allowance", "deposit", "carriage", "vat")
    }
    return Left(invoiced, **left)


def credit_total(left: Mapping[Rate, Left], goods: Mapping[Rate, Decimal], carriage: Decimal, rounding: str) -> Total:
    """The credit note over `goods` by rate (before the order's discount) and `carriage`, both net of VAT.

    The order's discount comes off as it did on the invoice; what the invoice had off as deposit is credited on the
    deposit's invoice, not here. MoreThanLeft, or ValueError where nothing would be credited.
    """
    carried = _share_carriage(left, carriage)
    rates = []
    for rate in sorted(left, key=lambda rate: (rate.category, -rate.percent)):
        if goods.get(rate) or carried.get(rate):
            rates.append(_credit_at(left[rate], goods.get(rate, NOUGHT), carried.get(rate, NOUGHT), rounding))
    sums = {
        name: sum((getattr(part, name) for part in rates), NOUGHT)
        for name in ("goods", "carriage", "vat", "allowance", "deposit")
    }
    total = Total(rates=tuple(rates), **sums)
    if total.gross <= 0:
        raise ValueError("Nothing would be credited.")
    return total


def _share_carriage(left: Mapping[Rate, Left], carriage: Decimal) -> dict[Rate, Decimal]:
    open_carriage = {rate: part.carriage for rate, part in left.items() if part.carriage}
    most = sum(open_carriage.values(), NOUGHT)
    if not 0 <= carriage <= most:
        raise MoreThanLeft(f"Of the carriage {most:,.2f} is left to credit.")
    return share_over_rates(carriage, open_carriage) if carriage else {}


def _credit_at(left: Left, goods: Decimal, carriage: Decimal, rounding: str) -> RateSum:
    rate = left.invoiced.rate
    if goods > left.goods:
        raise MoreThanLeft(f"At {rate} goods of {left.goods:,.2f} are left to credit, not {goods:,.2f}.")
    allowance = left.allowance
    if goods < left.goods:
        share = (left.invoiced.allowance * goods / left.invoiced.goods).quantize(PENNY, ROUND_HALF_UP)
        allowance = min(share, left.allowance)
    wanted = goods - allowance + carriage
    deposit = max(NOUGHT, wanted - left.taxable)
    if deposit > left.deposit:
        raise MoreThanLeft(f"At {rate} {left.taxable:,.2f} without VAT is left to credit, not {wanted:,.2f}.")
    taxable = wanted - deposit
    vat = left.vat if taxable == left.taxable else min(vat_of(taxable, rate.percent, rounding), left.vat)
    return RateSum(rate, goods, carriage, vat, allowance, deposit)
