"""Pairs on a frame."""

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from production.pitch import pairs_on_frame

calm = settings(deadline=None, derandomize=True)

LENGTHS = st.decimals(min_value=1, max_value=2000, places=1)


@pytest.mark.parametrize(
    ("bars", "usable", "base", "pitch", "pairs"),
    [
        (4, 600, 22, 3, 36),
        (2, 600, 22, "2.5", 20),
        (4, 660, 22, 3, 40),  # ten pitches exactly
        (4, "659.9", 22, 3, 36),
        (6, 500, 100, 3, 6),
        (6, 299, 100, 3, 0),  # not even one
        (1, "0.6", "0.1", 2, 3),  # figures that binary fractions would miss
    ],
)
def test_whole_pitches_times_bars(bars, usable, base, pitch, pairs):
    assert pairs_on_frame(bars, Decimal(usable), Decimal(base), Decimal(pitch)).pairs == pairs


@calm
@given(st.integers(1, 20), LENGTHS, LENGTHS, st.decimals(min_value=2, max_value=6, places=1))
def test_no_more_than_fit_and_no_fewer(bars, usable, base, pitch):
    loading = pairs_on_frame(bars, usable, base, pitch)
    assert loading.pairs == bars * loading.per_bar
    assert loading.per_bar * pitch * base <= usable < (loading.per_bar + 1) * pitch * base


def test_words_say_how_it_comes_about():
    assert pairs_on_frame(4, 600, 22).words == "4 bars of 600 mm, a pair every 66 mm (3 finished diameters)."
    assert pairs_on_frame(1, 600, 20, Decimal("2.5")).words.startswith("1 bar of 600 mm, a pair every 50 mm")


@pytest.mark.parametrize("wrong", [(0, 600, 22), (4, 0, 22), (4, 600, 0), (4, 600, "NaN"), (4, "Infinity", 22)])
def test_what_is_no_frame_is_refused(wrong):
    with pytest.raises(ValueError, match="no frame"):
        pairs_on_frame(*wrong)


def test_candles_that_would_kiss_are_refused():
    with pytest.raises(ValueError, match="too small"):
        pairs_on_frame(4, 600, 22, Decimal("1.9"))
