"""The sums of an order and of an invoice. Reads as: lines, discount, carriage, VAT by rate, total.

GBP (or the order's own currency, in hundredths) as Decimal without VAT unless said otherwise; percentages as 20 for
20 %; pairs whole. No Django.

Order of the sums (EN 16931, BR-CO-10 to BR-CO-17): each line is rounded to the penny; lines, less the order's
discount and what was invoiced as deposit, plus carriage are added up by rate; VAT is reckoned once a rate on that sum
and rounded; gross = net + rounded VAT. Gross is never reckoned as net x 1.2: rounding twice gives 845.86 where
704.88 + 140.97 is 845.85.
"""

from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass
from decimal import ROUND_DOWN, ROUND_HALF_UP, Decimal
from types import MappingProxyType
from typing import TypeVar

PENNY = Decimal("0.01")
NOUGHT = Decimal("0.00")
MOST = Decimal("99999999.99")  # ten digits, two of them pence: the widest amount column of the book
MOST_CARRIAGE = Decimal("999999.99")  # eight digits
# HMRC lets an invoice trader round the VAT payable down to the whole penny, or half a penny up; one policy, kept to.
ROUNDINGS = {"half-up": ROUND_HALF_UP, "down": ROUND_DOWN}

Key = TypeVar("Key", bound=Hashable)


@dataclass(frozen=True, order=True)
class Rate:
    """A VAT rate: UNCL5305 category (S, Z, E exempt, G export, O of a workshop not registered) and percent."""

    category: str
    percent: Decimal

    def __str__(self):
        return f"{self.percent.normalize():f} %"


@dataclass(frozen=True)
class RateSum:
    """One rate's part of a total: taxable = goods - allowance - deposit + carriage, VAT on that."""

    rate: Rate
    goods: Decimal
    carriage: Decimal
    vat: Decimal
    allowance: Decimal = NOUGHT
    deposit: Decimal = NOUGHT

    @property
    def taxable(self) -> Decimal:
        return self.goods - self.allowance - self.deposit + self.carriage


@dataclass(frozen=True)
class Total:
    """goods - allowance - deposit + carriage = net; net + vat = gross; the rates' parts add up to each of them."""

    goods: Decimal
    carriage: Decimal
    vat: Decimal
    rates: tuple[RateSum, ...]
    allowance: Decimal = NOUGHT
    deposit: Decimal = NOUGHT

    @property
    def net(self) -> Decimal:
        return self.goods - self.allowance - self.deposit + self.carriage

    @property
    def gross(self) -> Decimal:
        return self.net + self.vat


def line_net(pairs: int, price: Decimal, discount: Decimal) -> Decimal:
    """pairs x price (a pair) less discount (%), half-up to the penny. ValueError where it will not fit."""
    if not isinstance(pairs, int) or pairs < 0:
        raise ValueError(f"Pairs are whole numbers from nought up, not {pairs}.")
    if price < 0:
        raise ValueError(f"A price is not below nought: {price}.")
    if not 0 <= discount <= 100:
        raise ValueError(f"A discount lies between 0 and 100 %, not {discount}.")
    exact = pairs * price * (100 - discount) / 100
    return _fitting(exact, MOST, "A line").quantize(PENNY, ROUND_HALF_UP)


def share_over_rates(amount: Decimal, weights: Mapping[Key, Decimal]) -> dict[Key, Decimal]:
    """An amount split by weights (not below nought) into whole pennies that add up to it again.

    Each share is rounded down to the penny; what is left over goes to the largest weight (the first of equals).
    """
    if not weights or any(weight < 0 for weight in weights.values()):
        raise ValueError("An amount is shared over one rate or more, none of them below nought.")
    whole = sum(weights.values())
    largest = max(weights, key=lambda key: weights[key])
    shares = {
        key: (amount * weight / whole).quantize(PENNY, ROUND_DOWN) if whole else NOUGHT
        for key, weight in weights.items()
    }
    shares[largest] += amount - sum(shares.values())
    return shares


def vat_of(amount: Decimal, percent: Decimal, rounding: str) -> Decimal:
    """VAT on a taxable amount, to the penny; rounding is "half-up" or "down" (both towards or from nought alike)."""
    return (amount * percent / 100).quantize(PENNY, ROUNDINGS[rounding])


def vat_by_rate(
    lines: Iterable[tuple[Decimal, Rate]],
    carriage: Decimal,
    rounding: str,
    allowances: Mapping[Rate, Decimal] = MappingProxyType({}),
    deposits: Mapping[Rate, Decimal] = MappingProxyType({}),
) -> tuple[RateSum, ...]:
    """VAT summed by rate as EN 16931 does: lines as (net, rate); carriage follows the goods' rates by their share.

    `allowances` and `deposits` come off the rates they name, each of them a rate of the goods. The rates come in the
    order of their category, the highest percent first. ValueError where a rate would be taxed on less than nothing.
    """
    goods: dict[Rate, Decimal] = {}
    for net, rate in lines:
        goods[rate] = goods.get(rate, NOUGHT) + net
    if not goods:
        return ()
    carried = share_over_rates(carriage, goods) if carriage else dict.fromkeys(goods, NOUGHT)
    found = []
    for rate in sorted(goods, key=lambda rate: (rate.category, -rate.percent)):
        off, before = allowances.get(rate, NOUGHT), deposits.get(rate, NOUGHT)
        taxable = goods[rate] - off - before + carried[rate]
        if (off or before) and taxable < 0:
            raise ValueError(f"At {rate} more would be taken off than is charged.")
        found.append(RateSum(rate, goods[rate], carried[rate], vat_of(taxable, rate.percent, rounding), off, before))
    return tuple(found)


def total_invoice(
    lines: Iterable[tuple[Decimal, Rate]],
    carriage: Decimal,
    rounding: str,
    allowances: Mapping[Rate, Decimal] = MappingProxyType({}),
    deposits: Mapping[Rate, Decimal] = MappingProxyType({}),
) -> Total:
    """The total of lines given as (net, rate), carriage, and what comes off each rate (see vat_by_rate).

    ValueError where an amount would not fit its column.
    """
    lines = list(lines)
    if carriage and not lines:
        raise ValueError("Carriage without goods cannot be invoiced.")
    _fitting(carriage, MOST_CARRIAGE, "The carriage")
    rates = vat_by_rate(lines, carriage, rounding, allowances, deposits)
    total = Total(
        goods=_add(part.goods for part in rates),
        carriage=carriage,
        vat=_add(part.vat for part in rates),
        rates=rates,
        allowance=_add(part.allowance for part in rates),
        deposit=_add(part.deposit for part in rates),
    )
    for name, amount in (("The goods", total.goods), ("The net total", total.net), ("The total", total.gross)):
        _fitting(amount, MOST, name)
    return total


def percent_of(amount: Decimal, percent: Decimal) -> Decimal:
    """That share of an amount, half-up to the penny."""
    return (amount * percent / 100).quantize(PENNY, ROUND_HALF_UP)


def vat_within(gross: Decimal, percent: Decimal, rounding: str) -> Decimal:
    """The VAT an amount already holds, as of money received before the goods: 20 of 120 at 20 %, to the penny."""
    return (gross * percent / (100 + percent)).quantize(PENNY, ROUNDINGS[rounding])


def in_sterling(amount: Decimal, sterling: Decimal) -> Decimal:
    """An amount of another currency in GBP at `sterling` for one unit, half-up to the penny."""
    return (amount * sterling).quantize(PENNY, ROUND_HALF_UP)


def in_pounds(amount: Decimal) -> str:
    """As it stands on pages and papers: 1,566.00."""
    return f"{amount:,.2f}"


def amount_of(printed: str) -> Decimal:
    """The amount that in_pounds printed. decimal.InvalidOperation for anything else."""
    return Decimal(printed.replace(",", ""))


def symbol_of(currency: str) -> str:
    """What stands before an amount of that currency: a sign where everybody knows it, else its ISO 4217 code."""
    return {"GBP": "£", "EUR": "€"}.get(currency, f"{currency} ")


def _fitting(amount: Decimal, most: Decimal, name: str) -> Decimal:
    # 28 digits are Decimal's working precision; an amount near the column's width is far below it.
    if abs(amount) > most:
        raise ValueError(f"{name} would come to {amount:,.2f} GBP; the book holds at most {most:,.2f}.")
    return amount


def _add(amounts: Iterable[Decimal]) -> Decimal:
    return sum(amounts, NOUGHT)
