"""Interest over a debt that shrinks, grows again and is watched over a half-year's change. Sums by hand."""

from datetime import date
from decimal import Decimal

import pytest

from orders.late_payment import fixed_sum, interest_on, rate_for, stretches

DUE = date(2026, 6, 1)
RATES = [(date(2025, 8, 7), Decimal("4.00")), (date(2025, 12, 18), Decimal("3.75")), (date(2026, 7, 2), Decimal("5"))]


def test_one_debt_runs_from_the_day_after_it_was_due():
    [one] = stretches(Decimal(1000), DUE, [], date(2026, 6, 11))
    assert (one.since, one.days, one.debt) == (date(2026, 6, 2), 10, 1000)
    assert stretches(Decimal(1000), DUE, [], DUE) == []


def test_a_part_payment_splits_the_days():
    found = stretches(Decimal(1000), DUE, [(date(2026, 6, 11), Decimal(400))], date(2026, 6, 21))
    assert [(one.days, one.debt) for one in found] == [(10, 1000), (10, 600)]
    # 1000 x 12 % x 10 / 365 + 600 x 12 % x 10 / 365 = 3.2877 + 1.9726 = 5.2603
    assert interest_on(found, Decimal(12), "exact") == Decimal("5.26")
    # 0.33 a day, then 0.20 a day
    assert interest_on(found, Decimal(12), "day") == Decimal("5.30")


def test_what_was_paid_in_time_never_bears_interest_and_what_is_paid_stops_it():
    found = stretches(Decimal(1000), DUE, [(date(2026, 5, 1), Decimal(300))], date(2026, 6, 2))
    assert [(one.days, one.debt) for one in found] == [(1, 700)]
    assert stretches(Decimal(1000), DUE, [(DUE, Decimal(1000))], date(2027, 1, 1)) == []
    paid = stretches(Decimal(1000), DUE, [(date(2026, 6, 4), Decimal(1000))], date(2027, 1, 1))
    assert [(one.days, one.debt) for one in paid] == [(3, 1000)]


def test_a_bounced_payment_brings_the_debt_back():
    moves = [(date(2026, 6, 4), Decimal(1000)), (date(2026, 6, 10), Decimal(-1000))]
    found = stretches(Decimal(1000), DUE, moves, date(2026, 6, 15))
    assert [(one.since, one.days) for one in found] == [(date(2026, 6, 2), 3), (date(2026, 6, 11), 5)]


def test_the_rate_is_of_the_half_year_before_and_stays():
    assert rate_for(date(2026, 5, 1), RATES).base == Decimal("3.75")
    # Due on 30 June: interest starts on 1 July, so 30 June counts, and the change of 2 July does not.
    late = rate_for(date(2026, 6, 30), RATES)
    assert (late.base, late.reference, late.percent) == (Decimal("3.75"), date(2026, 6, 30), Decimal("11.75"))
    assert rate_for(date(2026, 12, 31), RATES).base == Decimal(5)
    with pytest.raises(ValueError, match="no base rate for 31 December 2024"):
        rate_for(date(2025, 3, 1), RATES)


@pytest.mark.parametrize(
    ("debt", "fixed"),
    [("0", "0"), ("0.01", "40"), ("999.99", "40"), ("1000", "70"), ("9999.99", "70"), ("10000", "100")],
)
def test_the_fixed_sum_by_the_debt(debt, fixed):
    assert fixed_sum(Decimal(debt)) == Decimal(fixed)
