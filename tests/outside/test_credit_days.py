"""Days of credit notes and deposits, and VAT within money received, against the published rules.

14 days "beginning with the day": VAT Regulations 1995 reg. 15C and 24B (SI 2019/1048); the count of 3 to 16 March was
worked by hand from these words. A payment before the goods leave makes a tax point to its amount: VATA 1994 s.6(4), as
listed in VATTOS2225 (from memory). Order discount over mixed rates: parts that add up to the penny, the remainder on
the largest (common practice); the figures 5 % of 261.30 = 13.07 and 256.73 at 20 % are those of a document made for
this project, which passes the official EN 16931 rules 1.3.16.
"""

from datetime import date
from decimal import Decimal as Dec

import pytest

from orders.money import NOUGHT, Rate, percent_of, share_over_rates, total_invoice, vat_of, vat_within
from orders.tax_point import deposit_tax_point, last_day_to_credit

S, REDUCED, Z = Rate("S", Dec(20)), Rate("S", Dec(5)), Rate("Z", NOUGHT)


def test_the_last_day_of_a_credit_note():
    assert last_day_to_credit(date(2026, 3, 3)) == date(2026, 3, 16)


def test_forty_percent_paid_on_28_may_is_taxed_there_and_the_rest_with_the_invoice():
    point = deposit_tax_point(date(2026, 5, 28))
    assert point.day == date(2026, 5, 28)
    whole = total_invoice([(Dec("1000.00"), S)], NOUGHT, "half-up")
    paid = whole.gross * 40 / 100
    vat = vat_within(paid, S.percent, "half-up")
    rest = total_invoice([(Dec("1000.00"), S)], NOUGHT, "half-up", deposits={S: paid - vat})
    assert (paid, vat) == (Dec("480.00"), Dec("80.00"))
    assert (rest.net, rest.vat, rest.gross) == (Dec("600.00"), Dec("120.00"), Dec("720.00"))


@pytest.mark.parametrize(("rounding", "vat"), [("down", "51.34"), ("half-up", "51.35")])
def test_the_made_document_with_an_order_discount(rounding, vat):
    """gb_A: 108.30 + 153.00 at 20 %, 69.90 zero rated; 5 % of 261.30 off and carriage 8.50 on the standard rate."""
    off = percent_of(Dec("261.30"), Dec(5))
    assert off == Dec("13.07")
    taxable = Dec("261.30") - off + Dec("8.50")
    assert taxable == Dec("256.73")
    assert vat_of(taxable, S.percent, rounding) == Dec(vat)
    assert taxable + Dec("69.90") == Dec("326.63")


def test_a_discount_over_rates_adds_up_to_the_penny():
    goods = {S: Dec("33.33"), REDUCED: Dec("33.33"), Z: Dec("33.34")}
    shares = share_over_rates(Dec("10.00"), goods)
    assert sum(shares.values()) == Dec("10.00")
    assert shares == {S: Dec("3.33"), REDUCED: Dec("3.33"), Z: Dec("3.34")}
    total = total_invoice([(net, rate) for rate, net in goods.items()], NOUGHT, "half-up", allowances=shares)
    assert (total.net, total.allowance) == (Dec("90.00"), Dec("10.00"))
    assert [str(part.vat) for part in total.rates] == ["6.00", "1.50", "0.00"]
