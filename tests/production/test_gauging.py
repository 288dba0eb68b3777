"""What a gauge reading says: refusals, readings out of line, and the warning before the gauge is overshot."""

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from production.gauging import ODD, PLAY_MM, out_of_line, overshoot_warning, refuse_reading
from production.growth import Reading, chance_over, flat_prior, usual_prior, with_readings

calm = settings(deadline=None, derandomize=True)

EARLIER = [Reading(8, Decimal("6.8")), Reading(16, Decimal("11.7")), Reading(24, Decimal("16.3"))]
LINE = with_readings(usual_prior(), EARLIER)


@pytest.mark.parametrize(
    ("dips", "mm", "word"),
    [
        (25, "0", "above nought"),
        (25, "-3", "above nought"),
        (25, "NaN", "above nought"),
        (25, "Infinity", "above nought"),
        (25, "400", "more than twice the gauge of 22.5 mm"),
        (25, "1.2", "thinner than the primed wick of 2 mm"),
        (25, "15.7", "thinner than the 16.3 mm read after 24 dips"),
        (20, "11.1", "thinner than the 11.7 mm read after 16 dips"),
        (12, "12.3", "thicker than the 11.7 mm read later, after 16 dips"),
    ],
)
def test_a_reading_that_can_not_be_is_refused(dips, mm, word):
    assert word in refuse_reading(Reading(dips, Decimal(mm)), EARLIER, 2, Decimal("22.5"))


@pytest.mark.parametrize(
    ("dips", "mm"), [(25, "16.9"), (24, "16.1"), (25, "16.2"), (12, "12.1"), (30, "21"), (4, "4.5"), (0, "2")]
)
def test_a_reading_that_may_be_is_taken(dips, mm):
    assert refuse_reading(Reading(dips, Decimal(mm)), EARLIER, 2, Decimal("22.5")) == ""


def test_two_candles_of_a_frame_may_differ_a_little():
    again = Reading(24, Decimal("16.3") - Decimal(str(PLAY_MM)))
    assert refuse_reading(again, EARLIER, 2, 22) == ""


def test_a_first_reading_has_none_to_be_held_against():
    assert refuse_reading(Reading(3, 4), [], 2, 22) == ""


@calm
@given(st.floats(min_value=1, max_value=40), st.integers(min_value=1, max_value=40))
def test_out_of_line_is_the_predictive_t(mm, dips):
    """Against scipy: a reading is named exactly where its two-sided chance is below 1 in 100."""
    t = (mm - LINE.at(dips)) / LINE.doubt_of_reading(dips)
    chance = 2 * stats.t.sf(abs(t), LINE.df)
    found = out_of_line(LINE, Reading(dips, mm))
    if abs(chance - ODD) > 1e-9:
        assert (found is not None) == (chance < ODD)
    if found:
        assert found.chance == pytest.approx(chance, rel=1e-6)
        assert not found.expected.low <= mm <= found.expected.high


def test_a_thick_reading_says_why_it_matters():
    found = out_of_line(LINE, Reading(28, Decimal("21.5")))
    assert found.words.startswith("21.5 mm after 28 dips is out of line: ")
    assert "too cold" in found.words
    assert "gauge was misread" in found.words
    assert "pass its gauge" in found.words


def test_a_thin_reading_says_why_it_matters():
    found = out_of_line(LINE, Reading(28, Decimal("16.3")))
    for word in ("too hot", "turn too short", "misread", "under gauge"):
        assert word in found.words


def test_a_fitting_reading_says_nothing():
    assert out_of_line(LINE, Reading(28, Decimal("18.7"))) is None


def test_where_too_little_is_known_nothing_is_out_of_line():
    assert out_of_line(with_readings(flat_prior(), EARLIER[:2]), Reading(28, 40)) is None
    assert out_of_line(flat_prior(), Reading(28, 40)) is None


def test_no_warning_while_the_gauge_is_far():
    assert overshoot_warning(LINE, 24, Decimal("22.5")) == ""


def test_the_warning_comes_before_the_gauge_is_overshot():
    """Counting dip by dip, the sentence about the next dip is said before the one that says it is too late."""
    sharp = with_readings(usual_prior(), [Reading(n, 2 + 0.6 * n) for n in range(4, 34, 2)])
    said = [overshoot_warning(sharp, done, 22.5) for done in range(25, 40)]
    first = next(place for place, words in enumerate(said) if words)
    assert said[first].startswith("One dip more, and about ")
    assert chance_over(sharp, 25 + first, 22.5) < 0.1 <= chance_over(sharp, 26 + first, 22.5)
    assert all("over 22.5 mm already" in words for words in said[first + 1 :])


def test_where_the_line_is_not_sure_the_warning_asks_for_a_reading():
    assert "take a reading first" in overshoot_warning(usual_prior(), 33, 22.5)
