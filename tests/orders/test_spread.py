from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orders.spread import Part, Share, deal_lots, spread_price


def in_words(shares: list[Share]) -> list[str]:
    return [f"{share.pairs} x {share.price} {share.key}" for share in shares]


def test_seven_pairs_at_five_pounds_are_two_prices_a_penny_apart():
    shares = spread_price(Decimal("5.00"), [Part("ivory", 7, Decimal(1))])
    assert in_words(shares) == ["4 x 0.71 ivory", "3 x 0.72 ivory"]


def test_dearer_candles_carry_more_of_it_and_one_at_most_is_split():
    # A penny a pair, and of the 12.83 above it 12 x 1.13 and 5 x 0.40 parts of 15.56: 94.17 and 33.98 pence a pair.
    shares = spread_price(Decimal("13.00"), [Part("taper", 12, Decimal("1.13")), Part("stub", 5, Decimal("0.40"))])
    assert in_words(shares) == ["10 x 0.94 taper", "2 x 0.95 taper", "5 x 0.34 stub"]


parts = st.lists(st.tuples(st.integers(1, 400), st.decimals(0, 50, places=4, allow_nan=False)), min_size=1, max_size=8)


@given(parts, st.integers(0, 500_000))
def test_every_penny_is_on_a_line_and_one_part_at_most_has_two_prices(rows, above):
    found = [Part(n, pairs, worth) for n, (pairs, worth) in enumerate(rows)]
    price = Decimal(sum(pairs for pairs, _ in rows) + above) / 100
    shares = spread_price(price, found)
    assert sum(share.pairs * share.price for share in shares) == price
    assert len(shares) <= len(found) + 1
    assert min(share.price for share in shares) >= Decimal("0.01")
    for part in found:
        its = [share for share in shares if share.key == part.key]
        assert sum(share.pairs for share in its) == part.pairs
        assert max(share.price for share in its) - min(share.price for share in its) <= Decimal("0.01")


@pytest.mark.parametrize(
    ("price", "rows"),
    [("0.02", [Part("a", 3, Decimal(1))]), ("1.005", [Part("a", 1, Decimal(1))]), ("1.00", []),
     ("1.00", [Part("a", 0, Decimal(1))]), ("1.00", [Part("a", 1, Decimal(-1))])],
)  # fmt: skip
def test_what_cannot_be_spread_is_refused(price, rows):
    with pytest.raises(ValueError, match=r"penn|pairs"):
        spread_price(Decimal(price), rows)


def test_lots_are_dealt_over_the_prices_in_turn():
    shares = [Share("ivory", 4, Decimal("0.71")), Share("ivory", 3, Decimal("0.72")), Share("red", 2, Decimal(1))]
    dealt = deal_lots(shares, {"ivory": [("S1", 5), ("S2", 2)], "red": [("S3", 2)]})
    assert [takes for _, takes in dealt] == [[("S1", 4)], [("S1", 1), ("S2", 2)], [("S3", 2)]]


@pytest.mark.parametrize("there", [3, 5])
def test_lots_that_do_not_add_up_are_refused(there):
    with pytest.raises(ValueError, match="lie"):
        deal_lots([Share("ivory", 4, Decimal(1))], {"ivory": [("S1", there)]})
