"""When a supply is taxed, by the day the goods left and the day of the invoice. No Django.

VATA 1994 s.6 as HMRC explains it: the basic tax point of goods is the day they are removed (VATTOS2215, VATTOS4210);
a supply removed in batches has the last batch's day (VATTOS4210); a VAT invoice issued within 14 days after the
basic tax point moves it to the invoice's date, a later one leaves it (VATTOS5235). A VAT invoice is due within 30
days of the tax point (VAT Regulations 1995 reg. 13(5)).
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from inventory.words import day as in_words

DAYS_AFTER = timedelta(days=14)
DAYS_TO_ISSUE = timedelta(days=30)
DAYS_TO_CREDIT = timedelta(days=13)  # 14 days beginning with the day itself
DAYS_FOR_RATE_CHANGE = timedelta(days=45)  # VAT Regulations 1995 reg. 15


@dataclass(frozen=True)
class TaxPoint:
    """The day, the basic tax point it came from, and the reason in words."""

    day: date
    basic: date
    why: str


class TaxPointsDiffer(ValueError):
    """Supplies of different tax points cannot stand on one invoice. `late` names those older than 14 days."""

    def __init__(self, late: list[str]):
        self.late = late
        super().__init__(", ".join(late))


def tax_point_of(removed_on: date, issued_on: date, *, vat_invoice: bool = True) -> date:
    """The tax point of one supply that left on `removed_on`. An invoice that is no VAT invoice does not move it.

    ValueError for an invoice before the goods left: it would make a tax point of its own.
    """
    if issued_on < removed_on:
        raise ValueError("The goods leave first, then they are invoiced.")
    within = issued_on <= removed_on + DAYS_AFTER
    return issued_on if vat_invoice and within else removed_on


def last_day_to_issue(removed_on: date) -> date:
    """The last day of issue for goods removed then and not invoiced within 14 days."""
    return removed_on + DAYS_TO_ISSUE


def last_day_to_credit(set_off_on: date) -> date:
    """The last day to give a credit note: 14 days beginning with the day of set-off or repayment (reg. 15C, 24B)."""
    return set_off_on + DAYS_TO_CREDIT


def deposit_tax_point(received_on: date) -> TaxPoint:
    """Money received before the goods leave makes a tax point to that amount, on the day it came (s.6(4))."""
    why = f"The money came on {in_words(received_on)}, before the goods left: that makes a tax point to its amount."
    return TaxPoint(day=received_on, basic=received_on, why=why)


def common_tax_point(removals: Mapping[str, Iterable[date]], issued_on: date, *, vat_invoice: bool = True) -> TaxPoint:
    """The one tax point of an invoice over the removals (days) of each supply, by the supply's name.

    An order is one supply: its deliveries on this invoice are its batches, and the latest removal is its basic tax
    point. Where the supplies' tax points differ, which they only can where one left more than 14 days ago,
    TaxPointsDiffer: an invoice carries one.
    """
    basics = {name: max(days) for name, days in removals.items()}
    points = {name: tax_point_of(basic, issued_on, vat_invoice=vat_invoice) for name, basic in basics.items()}
    if len(set(points.values())) > 1:
        raise TaxPointsDiffer([name for name, point in points.items() if point != max(points.values())])
    basic, day = max(basics.values()), next(iter(points.values()))
    return TaxPoint(day=day, basic=basic, why=_why(basic, day, issued_on, vat_invoice))


def _why(basic: date, day: date, issued_on: date, vat_invoice: bool) -> str:
    left = f"The goods left on {in_words(basic)}"
    if not vat_invoice:
        return f"{left}; no VAT is charged, so the day of removal stands."
    if day == issued_on:
        return f"{left}; the invoice follows within 14 days, so its own date is the tax point."
    return f"{left}, more than 14 days before this invoice, so that day stays the tax point."
