"""Periods of the books, and what a VAT return's sales side asks of one. Days, GBP; no Django.

Boxes after HMRC's VAT Return: box 1 is the VAT due on sales, box 6 their value without VAT in whole pounds, pence
left off (VAT Notice 700/12; from memory). What is outside the scope of VAT (category O) is in neither.
"""

from calendar import monthrange
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import ROUND_DOWN, ROUND_HALF_UP, Decimal

NOUGHT, PENNY = Decimal("0.00"), Decimal("0.01")


@dataclass(frozen=True)
class Period:
    """Days from `first` to `last`, both included."""

    first: date
    last: date

    def __contains__(self, day: date) -> bool:
        return self.first <= day <= self.last

    @property
    def before(self) -> "Period":
        """The one of as many whole months (else days) that ends the day before."""
        last = self.first - timedelta(days=1)
        if self.first.day != 1 or (self.last + timedelta(days=1)).day != 1:
            return Period(last - (self.last - self.first), last)
        months = (self.last.year - self.first.year) * 12 + self.last.month - self.first.month
        return Period(_month_first(last, -months), last)

    @property
    def after(self) -> "Period":
        first = self.last + timedelta(days=1)
        if self.first.day != 1 or first.day != 1:
            return Period(first, first + (self.last - self.first))
        months = (self.last.year - self.first.year) * 12 + self.last.month - self.first.month
        end = _month_first(first, months)
        return Period(first, end.replace(day=monthrange(end.year, end.month)[1]))


def month_of(day: date) -> Period:
    return Period(day.replace(day=1), day.replace(day=monthrange(day.year, day.month)[1]))


def quarter_of(day: date) -> Period:
    """The calendar quarter; a VAT quarter may end in another month, and is then chosen by its days."""
    first = date(day.year, day.month - (day.month - 1) % 3, 1)
    return Period(first, month_of(_month_first(first, 2)).last)


def _month_first(day: date, months: int) -> date:
    month = day.year * 12 + day.month - 1 + months
    return date(month // 12, month % 12 + 1, 1)


@dataclass(frozen=True)
class Sold:
    """What one category and rate of one kind of paper comes to, GBP; credit notes and discounts below nought."""

    kind: str
    category: str
    percent: Decimal
    net: Decimal
    vat: Decimal
    papers: int


@dataclass(frozen=True)
class Return:
    """The sales side of a UK VAT return."""

    box_1: Decimal
    box_6: Decimal

    @property
    def whole_pounds(self) -> Decimal:
        return self.box_6.quantize(Decimal(1), ROUND_DOWN)


def return_of(rows: Iterable[Sold]) -> Return:
    rows = [row for row in rows if row.category != "O"]
    return Return(sum((row.vat for row in rows), NOUGHT), sum((row.net for row in rows), NOUGHT))


def counted_on(tax_point: date, issued_on: date, closed: date | None) -> date:
    """The day a paper's VAT belongs to: its tax point, or its own date where the tax point's period was closed when it
    was issued (then it is declared late, with the period it was issued in)."""
    return issued_on if closed and tax_point <= closed else tax_point


def pounds_of(parts: list[tuple[Decimal, Decimal]], rate: Decimal, vat: Decimal) -> list[tuple[Decimal, Decimal]]:
    """(net, VAT) by rate in another currency as GBP at `rate` for one, half-up to the penny; the VAT adds up to `vat`,
    which is printed on the paper: what rounding leaves over goes to the largest."""
    if rate == 1:
        return parts
    made = [tuple((amount * rate).quantize(PENNY, ROUND_HALF_UP) for amount in part) for part in parts]
    over = vat - sum((part[1] for part in made), NOUGHT)
    if made and over:
        at = max(range(len(made)), key=lambda n: made[n][1])
        made[at] = (made[at][0], made[at][1] + over)
    return made
