from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from orders.money import (
    MOST,
    Rate,
    Total,
    in_pounds,
    line_net,
    share_over_rates,
    total_invoice,
    vat_by_rate,
    vat_of,
)

D = Decimal
STANDARD, REDUCED, ZERO = Rate("S", D("20.00")), Rate("S", D("5.00")), Rate("Z", D("0.00"))
amounts = st.decimals("0", "99999", places=2)
# The same examples each run, however busy the machine.
calm = settings(deadline=None, derandomize=True)


@pytest.mark.parametrize(
    ("pairs", "price", "discount", "net"),
    [
        (144, "2.20", "0", "316.80"),
        (24, "4.75", "5", "108.30"),
        (1, "0.05", "10", "0.05"),  # 0.045: half a penny goes up
        (3, "1.15", "2.5", "3.36"),  # 3.36375
        (0, "2.20", "0", "0.00"),
        (7, "0.00", "0", "0.00"),
        (10, "2.20", "100", "0.00"),
    ],
)
def test_line_net_is_half_up_to_the_penny(pairs, price, discount, net):
    assert line_net(pairs, D(price), D(discount)) == D(net)


@pytest.mark.parametrize(
    ("pairs", "price", "discount", "says"),
    [
        (-1, "1", "0", "whole numbers"),
        (1.5, "1", "0", "whole numbers"),
        (1, "-0.01", "0", "price"),
        (1, "1", "-1", "discount"),
        (1, "1", "100.01", "discount"),
        (10**9, "2.20", "0", "at most 99,999,999.99"),
    ],
)
def test_line_net_refuses_what_cannot_be(pairs, price, discount, says):
    with pytest.raises(ValueError, match=says):
        line_net(pairs, D(price), D(discount))


def test_the_remainder_of_a_share_goes_to_the_largest():
    assert share_over_rates(D("10.00"), {"a": D(1), "b": D(4), "c": D(1)}) == {
        "a": D("1.66"),
        "b": D("6.68"),
        "c": D("1.66"),
    }
    assert share_over_rates(D("0.01"), {"a": D(1), "b": D(1)}) == {"a": D("0.01"), "b": D("0.00")}
    assert share_over_rates(D("8.50"), {"a": D(0)}) == {"a": D("8.50")}


@pytest.mark.parametrize("weights", [{}, {"a": D("-1"), "b": D(2)}])
def test_a_share_needs_weights_from_nought_up(weights):
    with pytest.raises(ValueError, match="shared over"):
        share_over_rates(D(1), weights)


@calm
@given(amounts, st.dictionaries(st.integers(0, 5), amounts, min_size=1))
def test_shares_add_up_and_are_never_below_nought(amount, weights):
    shares = share_over_rates(amount, weights)
    assert sum(shares.values()) == amount
    assert all(share >= 0 and share == share.quantize(D("0.01")) for share in shares.values())


def test_vat_rounds_by_the_policy_of_the_workshop():
    assert vat_of(D("0.025"), D(20), "half-up") == D("0.01")
    assert vat_of(D("0.025"), D(20), "down") == D("0.00")
    with pytest.raises(KeyError):
        vat_of(D(1), D(20), "sideways")


def test_vat_is_summed_by_rate_and_carriage_follows_the_goods():
    rows = vat_by_rate(
        [(D("150.00"), STANDARD), (D("30.00"), ZERO), (D("60.00"), REDUCED), (D("60.00"), STANDARD)],
        D("10.00"),
        "half-up",
    )
    assert [(row.rate, row.goods, row.carriage, row.taxable, row.vat) for row in rows] == [
        (STANDARD, D("210.00"), D("7.00"), D("217.00"), D("43.40")),
        (REDUCED, D("60.00"), D("2.00"), D("62.00"), D("3.10")),
        (ZERO, D("30.00"), D("1.00"), D("31.00"), D("0.00")),
    ]
    assert vat_by_rate([], D(0), "down") == ()


def test_a_total_can_be_re_added_by_hand():
    total = total_invoice([(D("108.30"), STANDARD), (D("69.90"), ZERO)], D("8.50"), "half-up")
    assert (total.goods, total.carriage, total.net) == (D("178.20"), D("8.50"), D("186.70"))
    # 8.50 x 69.90 / 178.20 = 3.334: 3.33 on the zero rate, 5.17 on the standard one
    assert [row.carriage for row in total.rates] == [D("5.17"), D("3.33")]
    assert (total.vat, total.gross) == (D("22.69"), D("209.39"))


def test_nothing_comes_to_nothing():
    assert total_invoice([], D("0.00"), "half-up") == Total(D("0.00"), D("0.00"), D("0.00"), ())
    with pytest.raises(ValueError, match="without goods"):
        total_invoice([], D("8.50"), "half-up")


@pytest.mark.parametrize(
    ("net", "carriage", "says"),
    [
        (MOST + D("0.01"), "0", "The goods"),
        (MOST, "0.01", "net total"),
        (MOST, "0", "The total would come to 119,999,999.99"),
        (D(1), "1000000", "carriage"),
    ],
)
def test_an_amount_that_would_not_fit_its_column_is_refused(net, carriage, says):
    with pytest.raises(ValueError, match=says):
        total_invoice([(net, STANDARD)], D(carriage), "half-up")


@calm
@given(
    st.lists(st.tuples(amounts, st.sampled_from([STANDARD, REDUCED, ZERO])), min_size=1, max_size=40),
    st.decimals("0", "9999", places=2),
    st.sampled_from(["half-up", "down"]),
)
def test_the_parts_of_every_total_add_up(lines, carriage, rounding):
    total = total_invoice(lines, carriage, rounding)
    assert total.goods == sum(net for net, _ in lines)
    assert total.net == sum(row.taxable for row in total.rates) == total.goods + carriage
    assert total.gross == total.net + sum(row.vat for row in total.rates)


def test_amounts_are_written_with_thousands_and_pence():
    assert in_pounds(D("1566")) == "1,566.00"
    assert str(STANDARD) == "20 %"
    assert str(Rate("S", D("17.50"))) == "17.5 %"
