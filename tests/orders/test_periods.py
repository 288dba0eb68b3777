"""Periods of the books as sums: which days, which boxes, which pounds."""

from datetime import date
from decimal import Decimal as Dec

import pytest

from orders.book_words import day_book_sentence, days, receipts_sentence
from orders.periods import Period, Sold, counted_on, month_of, pounds_of, quarter_of, return_of


def test_months_follow_each_other():
    february = month_of(date(2028, 2, 11))
    assert february == Period(date(2028, 2, 1), date(2028, 2, 29))
    assert february.before == Period(date(2028, 1, 1), date(2028, 1, 31))
    assert february.after == Period(date(2028, 3, 1), date(2028, 3, 31))
    assert month_of(date(2026, 12, 9)).after == Period(date(2027, 1, 1), date(2027, 1, 31))


def test_quarters_and_odd_stretches_follow_each_other():
    quarter = quarter_of(date(2026, 11, 25))
    assert quarter == Period(date(2026, 10, 1), date(2026, 12, 31))
    assert quarter.before == Period(date(2026, 7, 1), date(2026, 9, 30))
    assert quarter.after == Period(date(2027, 1, 1), date(2027, 3, 31))
    week = Period(date(2026, 11, 2), date(2026, 11, 8))
    assert (week.before.first, week.after.last) == (date(2026, 10, 26), date(2026, 11, 15))
    assert date(2026, 11, 8) in week
    assert date(2026, 11, 9) not in week


@pytest.mark.parametrize(
    ("closed", "day"),
    [(None, date(2026, 9, 30)), (date(2026, 9, 29), date(2026, 9, 30)), (date(2026, 9, 30), date(2026, 10, 2))],
)
def test_vat_of_a_closed_period_belongs_where_it_was_issued(closed, day):
    assert counted_on(date(2026, 9, 30), date(2026, 10, 2), closed) == day


def test_boxes_leave_out_what_is_outside_the_scope_and_the_pence():
    """Box 1 by hand: 20.00 - 4.00 + 0.50; box 6: 100 + 30 + 40 - 20 + 10 = 160.99 with the pence of the export."""
    rows = [
        Sold("invoice", "S", Dec(20), Dec("100.00"), Dec("20.00"), 2),
        Sold("invoice", "S", Dec(5), Dec("10.00"), Dec("0.50"), 1),
        Sold("invoice", "Z", Dec(0), Dec("30.00"), Dec("0.00"), 1),
        Sold("invoice", "G", Dec(0), Dec("40.99"), Dec("0.00"), 1),
        Sold("invoice", "O", Dec(0), Dec("77.00"), Dec("0.00"), 1),
        Sold("credit note", "S", Dec(20), Dec("-20.00"), Dec("-4.00"), 1),
    ]
    made = return_of(rows)
    assert (made.box_1, made.box_6, made.whole_pounds) == (Dec("16.50"), Dec("160.99"), Dec(160))


def test_another_currency_in_pounds_adds_up_to_the_vat_that_is_printed():
    """0.8571 GBP for one: 33.33 and 11.11 of VAT are 28.57 and 9.52 by themselves, but 44.44 together are 38.09."""
    parts = [(Dec("166.65"), Dec("33.33")), (Dec("222.20"), Dec("11.11"))]
    assert pounds_of(parts, Dec("0.8571"), Dec("38.09")) == [
        (Dec("142.84"), Dec("28.57")),
        (Dec("190.45"), Dec("9.52")),
    ]
    assert pounds_of(parts, Dec("0.8571"), Dec("38.10"))[0][1] == Dec("28.58")
    assert pounds_of(parts, Dec(1), Dec(0)) is parts


def test_days_in_words():
    assert days(month_of(date(2026, 11, 4))) == "in November 2026"
    assert days(Period(date(2026, 11, 1), date(2026, 11, 15))) == "from 1 to 15 November 2026"
    assert days(quarter_of(date(2026, 11, 1))) == "from 1 October 2026 to 31 December 2026"
    assert day_book_sentence([], month_of(date(2026, 11, 4))) == "Nothing was issued in November 2026."
    assert receipts_sentence([], month_of(date(2026, 11, 4))) == "No money came in November 2026."
