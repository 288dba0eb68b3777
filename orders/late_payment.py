"""What the law lets a workshop ask of another business that pays late: simple interest and a fixed sum a debt.

Amounts in GBP as Decimal, percentages as 8 for 8 %, days whole. No Django. Source: Late Payment of Commercial Debts
(Interest) Act 1998 as GOV.UK explains it; the half-years: SI 2002/1675 art. 4. Neither bears VAT.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import ROUND_HALF_UP, Decimal

PENNY, NOUGHT = Decimal("0.01"), Decimal("0.00")
OVER_BASE = Decimal(8)
YEAR = 365
EXACT, BY_DAY = "exact", "day"
# Fixed sum by the debt, from this amount up.
FIXED = ((Decimal(10_000), Decimal(100)), (Decimal(1_000), Decimal(70)), (Decimal("0.01"), Decimal(40)))


@dataclass(frozen=True)
class Rate:
    """The rate of one debt, fixed for as long as it stands: the base rate of `reference` and eight."""

    base: Decimal
    since: date
    reference: date

    @property
    def percent(self) -> Decimal:
        return self.base + OVER_BASE


@dataclass(frozen=True)
class Stretch:
    """Days from `since` to `until`, both included, through which the same amount was owed."""

    since: date
    until: date
    debt: Decimal

    @property
    def days(self) -> int:
        return (self.until - self.since).days + 1


def reference_day(starts: date) -> date:
    """The day whose base rate counts for interest that starts to run on `starts`: the end of the half-year before."""
    return date(starts.year - 1, 12, 31) if starts.month <= 6 else date(starts.year, 6, 30)


def rate_for(due_on: date, base_rates: Iterable[tuple[date, Decimal]]) -> Rate:
    """The rate of a debt due on that day; base rates as (since, percent). ValueError where none is that old."""
    day = reference_day(due_on + timedelta(days=1))
    known = [(since, percent) for since, percent in base_rates if since <= day]
    if not known:
        raise ValueError(f"The book has no base rate for {day.day} {day:%B %Y}.")
    since, percent = max(known)
    return Rate(percent, since, day)


def fixed_sum(debt: Decimal) -> Decimal:
    """The fixed sum for the trouble, by the size of the debt; nothing for no debt."""
    return next((amount for least, amount in FIXED if debt >= least), NOUGHT)


def stretches(debt: Decimal, due_on: date, paid: Iterable[tuple[date, Decimal]], until: date) -> list[Stretch]:
    """How much was owed when, from the day after `due_on` to `until`.

    `debt` is what was owed in all; `paid` takes off it as (day, amount), also below nought where a payment bounced.
    A day on which something is paid still counts with what was owed before.
    """
    changes: dict[date, Decimal] = {}
    owed, starts = debt, due_on + timedelta(days=1)
    for day, amount in paid:
        if day < starts:
            owed -= amount
        else:
            changes[day] = changes.get(day, NOUGHT) + amount
    found = []
    for day, amount in sorted(changes.items()):
        if day > until:
            break
        found.append(Stretch(starts, day, owed))
        owed, starts = owed - amount, day + timedelta(days=1)
    found.append(Stretch(starts, until, owed))
    return [stretch for stretch in found if stretch.debt > 0 and stretch.days > 0]


def interest_on(found: Iterable[Stretch], percent: Decimal, policy: str) -> Decimal:
    """Simple interest, to the penny.

    "day" rounds the interest of one day first, as GOV.UK's worked example does; "exact" rounds once, at the end.
    """
    if policy == BY_DAY:
        return sum((day_rate(one.debt, percent) * one.days for one in found), NOUGHT)
    exact = sum((one.debt * percent * one.days for one in found), Decimal(0)) / 100 / YEAR
    return exact.quantize(PENNY, ROUND_HALF_UP)


def day_rate(debt: Decimal, percent: Decimal) -> Decimal:
    """One day's interest, rounded to the penny."""
    return (debt * percent / 100 / YEAR).quantize(PENNY, ROUND_HALF_UP)
