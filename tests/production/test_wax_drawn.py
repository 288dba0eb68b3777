"""What a frame takes out of stock, as sums."""

from decimal import Decimal

import pytest

from production.wax_drawn import Coat, drawn_for, frame_grams, grams_by_coat, share_out, wick_mm


def test_a_pair_is_one_wick_over_the_bar():
    # 48 pairs of 250 mm: 48 x (500 + 60) mm, by hand.
    assert wick_mm(48, Decimal("250"), 60) == 26_880
    assert wick_mm(1, Decimal("99.7"), 0) == 200  # begun millimetres are cut


def test_wax_of_a_frame_in_whole_grams():
    # TRADE, check 6: 250 x 22/16 mm at 0.90 weighs 64.324 g a candle.
    assert frame_grams(48, Decimal("128.64")) == 6175


def test_shares_add_up_whatever_is_rounded():
    assert share_out(10, [1, 1, 1]) == [4, 3, 3]
    assert share_out(7, [0, 0]) == [7, 0]
    assert share_out(0, [3, 1]) == [0, 0]
    for weights in ([], [1, -1]):
        with pytest.raises(ValueError, match="weights"):
            share_out(5, weights)


def test_outer_coats_weigh_more():
    # From 2 to 18 mm in one run, 18 to 20 mm in the next: (324 - 4) to (400 - 324), 396 parts in all.
    coats = [Coat(20, 0.8), Coat(4, 0.5)]
    assert grams_by_coat(3960, 2, coats) == [3200, 760]
    assert grams_by_coat(3960, 2, coats[:1]) == [3960]


def test_remelt_goes_first_and_needs_no_dye():
    blend, dyes = {"paraffin": Decimal(80), "stearin": Decimal(20)}, {"moss": Decimal("2.5")}
    assert drawn_for(5000, 1000, blend, dyes) == (1000, {"paraffin": 3200, "stearin": 800, "moss": 10})
    assert drawn_for(5000, 9000, blend, dyes) == (5000, {})


def test_a_wax_without_a_blend_draws_remelt_alone():
    assert drawn_for(5000, 1000, {}, {"moss": Decimal(2)}) == (1000, {})
    assert drawn_for(5000, 0, {}, {}) == (0, {})
