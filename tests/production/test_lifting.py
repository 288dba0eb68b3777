"""Weight of a loaded frame against the lifting filter."""

import pytest

from production.lifting import HEIGHTS, caution_lifting, frame_kg, lifting_filter, share_left


def test_hands_through_several_heights_have_the_smallest_figure():
    through = lifting_filter(("knuckle to elbow", "shoulder to head"))
    assert (through.men_close, through.men_far, through.women_close, through.women_far) == (10, 5, 7, 3)


def test_no_height_allows_more_at_arm_s_length():
    for men_close, men_far, women_close, women_far in HEIGHTS.values():
        assert men_close > men_far
        assert women_close > women_far


@pytest.mark.parametrize(
    ("lifts", "share"), [(0, 1), (0.5, 1), (0.6, 0.7), (2, 0.7), (3, 0.5), (8, 0.5), (9, 0.2), (12, 0.2), (30, 0.2)]
)
def test_more_lifts_leave_less(lifts, share):
    assert share_left(lifts) == share


def test_a_frame_with_its_candles():
    assert frame_kg(1500, 48, 64.324) == pytest.approx(4.588, abs=1e-3)


@pytest.mark.parametrize(
    ("kilograms", "word"),
    [
        (7, ""),
        (7.5, "too heavy at arm's length (7 kg)"),
        (13.5, "past the lifting filter for many (13 kg held close)"),
        (20.5, "past the lifting filter (20 kg held close)"),
    ],
)
def test_cautions_grow_with_the_weight(kilograms, word):
    said = caution_lifting(kilograms)
    assert (word in said) if word else said == ""
    assert not said or said.endswith("A filter, not a legal limit.")


def test_many_lifts_bring_the_caution_sooner():
    assert caution_lifting(5) == ""
    assert "too heavy at arm's length (3.5 kg)" in caution_lifting(5, lifts_a_minute=6)


def test_what_makes_no_sense_is_refused():
    with pytest.raises(ValueError, match="at least one height"):
        lifting_filter(())
    with pytest.raises(ValueError, match="none or more"):
        share_left(-1)
    with pytest.raises(ValueError, match="none or more"):
        share_left(float("nan"))
