"""Tax points against HMRC's internal manual VAT Time of Supply, as noted in the project's facts.

VATTOS2215 and VATTOS4210: removal is the basic tax point of goods, the last batch's of a supply removed in batches.
VATTOS5235: an invoice within 14 days after it moves the tax point to its date, a later one does not.
VATREC6010 (reg. 13(5)): a VAT invoice is due within 30 days of the tax point.
VATTOS5210: an invoice of zero-rated supplies only, or of an unregistered seller, is no VAT invoice.
The days were counted by hand. Payments before the goods leave, which make tax points of their own (s.6(4)), do not
occur here: nothing is invoiced before it has left.
"""

from datetime import date

import pytest

from orders.tax_point import TaxPointsDiffer, common_tax_point, last_day_to_issue, tax_point_of

LEFT = date(2026, 6, 1)


@pytest.mark.parametrize(
    ("issued_on", "tax_point"),
    [
        (date(2026, 6, 1), date(2026, 6, 1)),
        (date(2026, 6, 10), date(2026, 6, 10)),
        (date(2026, 6, 15), date(2026, 6, 15)),  # day 14
        (date(2026, 6, 16), date(2026, 6, 1)),
        (date(2026, 7, 1), date(2026, 6, 1)),
    ],
)
def test_despatched_1_june(issued_on, tax_point):
    assert tax_point_of(LEFT, issued_on) == tax_point


def test_the_last_day_to_issue_is_30_days_after():
    assert last_day_to_issue(LEFT) == date(2026, 7, 1)


def test_what_is_no_vat_invoice_moves_nothing():
    assert tax_point_of(LEFT, date(2026, 6, 10), vat_invoice=False) == LEFT


def test_an_invoice_does_not_come_before_the_goods():
    with pytest.raises(ValueError, match="goods leave first"):
        tax_point_of(LEFT, date(2026, 5, 31))


def test_of_batches_the_last_counts():
    batches = {"order 1": [LEFT, date(2026, 6, 20)]}
    assert common_tax_point(batches, date(2026, 6, 22)).day == date(2026, 6, 22)
    late = common_tax_point(batches, date(2026, 7, 5))
    assert (late.day, late.basic) == (date(2026, 6, 20), date(2026, 6, 20))
    assert (
        late.why
        == "The goods left on 20 June 2026, more than 14 days before this invoice, so that day stays the tax point."
    )


def test_part_deliveries_invoiced_apart_have_a_tax_point_each():
    assert tax_point_of(LEFT, date(2026, 6, 10)) == date(2026, 6, 10)
    assert tax_point_of(date(2026, 6, 20), date(2026, 6, 25)) == date(2026, 6, 25)


def test_separate_supplies_share_an_invoice_only_with_one_tax_point():
    both = {"order 1": [LEFT], "order 2": [date(2026, 6, 8)]}
    assert common_tax_point(both, date(2026, 6, 15)).day == date(2026, 6, 15)
    with pytest.raises(TaxPointsDiffer) as differ:
        common_tax_point(both, date(2026, 6, 16))
    assert differ.value.late == ["order 1"]
    same_day = {"order 1": [LEFT], "order 2": [LEFT]}
    assert common_tax_point(same_day, date(2026, 6, 30)).day == LEFT
