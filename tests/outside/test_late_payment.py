"""Late payment against published figures.

Sources: GOV.UK, "Late commercial payments: charging interest and debt recovery" (gov.uk/late-commercial-payments-
interest-debt-recovery); SI 2002/1675 art. 4 (legislation.gov.uk/uksi/2002/1675/made); mygov.scot and
nibusinessinfo.co.uk for the fixed sums.
"""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from orders.late_payment import Stretch, day_rate, fixed_sum, interest_on, rate_for, reference_day


def over(debt: str, days: int) -> list[Stretch]:
    since = date(2026, 1, 2)
    return [Stretch(since, since + timedelta(days=days - 1), Decimal(debt))]


def test_the_governments_worked_example():
    # GOV.UK: GBP 1,000 at 8 % and a base rate of 0.5 %: 85.00 a year, 23p a day, 11.50 for 50 days.
    assert day_rate(Decimal(1000), Decimal("8.5")) == Decimal("0.23")
    assert interest_on(over("1000", 50), Decimal("8.5"), "day") == Decimal("11.50")
    assert interest_on(over("1000", 365), Decimal("8.5"), "exact") == Decimal("85.00")


@pytest.mark.parametrize(
    ("debt", "base", "days", "exact", "by_day"),
    [
        # Reckoned by the formula of GOV.UK: debt x (base + 8) % x days / 365; no published figure.
        ("1000.00", "0.5", 50, "11.64", "11.50"),
        ("1000.00", "4.25", 45, "15.10", "15.30"),
        ("9999.99", "3.75", 30, "96.58", "96.60"),
        ("10000.00", "3.75", 30, "96.58", "96.60"),
        # Daniels Silverman, "Statutory interest calculator" (danielssilverman.co.uk/interest.php): 1,000 at 12 % for
        # 30 days is 9.86, the day's 32.9p not rounded to the penny.
        ("1000.00", "4", 30, "9.86", "9.90"),
        # Paidnice support (support.paidnice.com, article 11600906): 5,000 at 12.25 % for 101 days, 1.68 a day, 169.68.
        ("5000.00", "4.25", 101, "169.49", "169.68"),
    ],
)
def test_both_ways_of_rounding(debt, base, days, exact, by_day):
    percent = Decimal(base) + 8
    assert interest_on(over(debt, days), percent, "exact") == Decimal(exact)
    assert interest_on(over(debt, days), percent, "day") == Decimal(by_day)


@pytest.mark.parametrize(
    ("debt", "fixed"), [("999.99", 40), ("1000.00", 70), ("9999.99", 70), ("10000.00", 100)]
)  # mygov.scot; nibusinessinfo.co.uk
def test_the_fixed_sums(debt, fixed):
    assert fixed_sum(Decimal(debt)) == fixed


@pytest.mark.parametrize(
    ("starts", "counts"),
    [
        # SI 2002/1675 art. 4, as quoted by secondary sources
        (date(2026, 1, 1), date(2025, 12, 31)), (date(2026, 6, 30), date(2025, 12, 31)),
        (date(2026, 7, 1), date(2026, 6, 30)), (date(2026, 12, 31), date(2026, 6, 30)),
    ],
)  # fmt: skip
def test_the_half_years(starts, counts):
    assert reference_day(starts) == counts


def test_bank_rate_of_december_2025_counts_in_the_first_half_of_2026():
    # Bank of England: 4 % until 17 December 2025, 3.75 % from the 18th (as reported by Trading Economics).
    rates = [(date(2025, 8, 7), Decimal("4.00")), (date(2025, 12, 18), Decimal("3.75"))]
    assert rate_for(date(2026, 2, 1), rates).percent == Decimal("11.75")
    assert rate_for(date(2025, 11, 1), [*rates, (date(2025, 5, 8), Decimal("4.25"))]).percent == Decimal("12.25")
