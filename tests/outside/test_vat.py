"""VAT against published rules.

HMRC manual VATREC12010, on Notice 700 paragraph 17.5: an invoice trader may round the VAT payable down to a whole
penny. VATREC12030: half a penny or more goes up. The figures of the three lines were worked by hand from these rules;
net 704.88 with 845.85 is from a question at forums.aat.org.uk (discussion/comment/464457).
"""

from decimal import Decimal

import pytest

from orders.money import Rate, total_invoice, vat_of

STANDARD = Rate("S", Decimal(20))
LINES = [Decimal("12.37"), Decimal("8.99"), Decimal("4.33")]


@pytest.mark.parametrize(("rounding", "vat", "gross"), [("down", "5.13", "30.82"), ("half-up", "5.14", "30.83")])
def test_three_lines_on_the_total(rounding, vat, gross):
    total = total_invoice([(net, STANDARD) for net in LINES], Decimal("0.00"), rounding)
    assert (total.net, total.vat, total.gross) == (Decimal("25.69"), Decimal(vat), Decimal(gross))


@pytest.mark.parametrize(("rounding", "vat", "gross"), [("down", "140.97", "845.85"), ("half-up", "140.98", "845.86")])
def test_gross_is_net_and_rounded_vat(rounding, vat, gross):
    total = total_invoice([(Decimal("704.88"), STANDARD)], Decimal("0.00"), rounding)
    assert (total.vat, total.gross) == (Decimal(vat), Decimal(gross))
    assert total.gross == total.net + total.vat


def test_the_tempting_way_is_a_penny_off():
    """Net x 1.2, rounded by itself, is 845.86, and does not fit VAT rounded down."""
    tempting = (Decimal("704.88") * Decimal("1.2")).quantize(Decimal("0.01"))
    assert tempting == Decimal("845.86")
    assert total_invoice([(Decimal("704.88"), STANDARD)], Decimal("0.00"), "down").gross != tempting


@pytest.mark.parametrize(
    ("price", "discount", "at", "full_vat", "taken_vat"), [("1000.00", "10", "20", "200.00", "180.00")]
)
def test_vat_before_and_after_a_prompt_payment_discount(price, discount, at, full_vat, taken_vat):
    """Revenue and Customs Brief 49 (2014): the invoice shows the full VAT; what is due is the VAT on what is paid.

    Figures as at claytonandbrewill.com/vat-on-prompt-payment-discounts.
    """
    full, percent = Decimal(price), Decimal(at)
    taken = full * (100 - Decimal(discount)) / 100
    for rounding in ("half-up", "down"):
        assert vat_of(full, percent, rounding) == Decimal(full_vat)
        assert vat_of(taken, percent, rounding) == Decimal(taken_vat)


def test_both_policies_are_within_what_the_standard_allows():
    """Made for this project; the official EN 16931 rules 1.3.16 pass 51.34 and 51.35 on 256.73 at 20 %."""
    assert vat_of(Decimal("256.73"), Decimal(20), "down") == Decimal("51.34")
    assert vat_of(Decimal("256.73"), Decimal(20), "half-up") == Decimal("51.35")
