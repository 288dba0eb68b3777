"""Growth: prior, readings, dips left, and the gauge."""

from decimal import Decimal
from math import sqrt

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy import stats

from production.growth import (
    MOST_DIPS,
    Reading,
    aim_mm,
    carry_over,
    chance_over,
    dips_left,
    flat_prior,
    predict,
    predict_line,
    usual_prior,
    with_readings,
)

calm = settings(deadline=None, derandomize=True)

DIPS = st.integers(min_value=0, max_value=60)
MM = st.floats(min_value=1, max_value=60)
READINGS = st.lists(st.builds(Reading, DIPS, MM), min_size=1, max_size=12)
CHANCES = st.floats(min_value=0.5, max_value=0.999)


def straight(start: float, growth: float, at: tuple[int, ...], wobble: float = 0.1) -> list[Reading]:
    """Readings along a line, in turn above and below it."""
    return [Reading(n, start + growth * n + wobble * (-1) ** place) for place, n in enumerate(at)]


def chance_reached(line, dips: int, mm: float) -> float:
    """That the frame's line has come to `mm` after so many dips, by scipy's Student t."""
    return stats.t.sf(mm, line.df, line.at(dips), line.doubt(dips))


def textbook(prior, readings):
    """The posterior by matrices, as Bayesian Data Analysis and any text on linear models have it."""
    import numpy as np

    mean = np.array([prior.start, prior.growth])
    shift = np.array([[1.0, prior.pivot], [0.0, 1.0]])
    information = shift.T @ np.diag([prior.weight, prior.slope_weight]) @ shift
    x = np.array([[1.0, each.dips] for each in readings])
    y = np.array([float(each.mm) for each in readings])
    after = information + x.T @ x
    new = np.linalg.solve(after, information @ mean + x.T @ y)
    squares = prior.squares + y @ y + mean @ information @ mean - new @ after @ new
    return new, np.linalg.inv(after), squares


@calm
@given(READINGS)
def test_readings_pull_the_prior_as_matrices_say(readings):
    prior = usual_prior(2, 0.6)
    line = with_readings(prior, readings)
    (start, growth), covariance, squares = textbook(prior, readings)
    assert (line.start, line.growth) == pytest.approx((start, growth), rel=1e-7, abs=1e-7)
    assert line.squares == pytest.approx(squares, rel=1e-6, abs=1e-7)
    for dips in (0, 20, 60):
        spread = covariance[0, 0] + 2 * dips * covariance[0, 1] + dips * dips * covariance[1, 1]
        assert line.doubt(dips) == pytest.approx(line.scatter * sqrt(spread), rel=1e-7)


@calm
@given(READINGS.filter(lambda readings: len({each.dips for each in readings}) > 1))
def test_a_flat_prior_is_least_squares(readings):
    """Against scipy.stats.linregress."""
    line = with_readings(flat_prior(), readings)
    fit = stats.linregress([each.dips for each in readings], [each.mm for each in readings])
    assert (line.start, line.growth) == pytest.approx((fit.intercept, fit.slope), rel=1e-8, abs=1e-8)
    if len(readings) > 2 and line.scatter > 1e-3:
        assert line.scatter / sqrt(line.slope_weight) == pytest.approx(fit.stderr, rel=1e-6)


@calm
@given(READINGS, st.data())
def test_the_order_of_readings_and_their_batches_do_not_matter(readings, data):
    prior = usual_prior()
    shuffled = data.draw(st.permutations(readings))
    cut = data.draw(st.integers(min_value=0, max_value=len(readings)))
    line, other = with_readings(prior, readings), with_readings(with_readings(prior, shuffled[:cut]), shuffled[cut:])
    for figure in ("start", "growth", "weight", "slope_weight", "df", "squares"):
        assert getattr(line, figure) == pytest.approx(getattr(other, figure), rel=1e-6, abs=1e-6)


def test_without_readings_the_prior_stands():
    prior = usual_prior(2.5, 0.55)
    assert with_readings(prior, []) is prior
    assert (prior.start, prior.growth, prior.scatter) == pytest.approx((2.5, 0.55, 0.2))


@calm
@given(READINGS)
def test_growth_lies_between_the_prior_and_the_readings(readings):
    assume(len({each.dips for each in readings}) > 1)
    firm = usual_prior(2, 0.6, growth_doubt=1e-6, start_doubt=10)
    assert with_readings(firm, readings).growth == pytest.approx(0.6, abs=1e-3)


def test_many_readings_outweigh_the_prior():
    line = with_readings(usual_prior(2, 0.6), straight(2.4, 0.5, tuple(range(0, 40, 2))))
    assert (line.start, line.growth) == pytest.approx((2.4, 0.5), abs=0.05)


@calm
@given(READINGS, DIPS)
def test_a_reading_never_makes_the_line_less_certain_in_shares_of_scatter(readings, dips):
    prior = usual_prior()
    line = with_readings(prior, readings)
    assert line.doubt(dips) / line.scatter <= prior.doubt(dips) / prior.scatter * (1 + 1e-9)


@calm
@given(READINGS, DIPS, CHANCES)
def test_ranges_hold_the_line_and_widen_with_the_chance(readings, dips, chance):
    line = with_readings(usual_prior(), readings)
    of_line, of_reading = predict_line(line, dips, chance), predict(line, dips, chance)
    assert of_reading.low <= of_line.low <= line.at(dips) <= of_line.high <= of_reading.high
    wider = predict(line, dips, chance + (1 - chance) / 2)
    assert wider.low <= of_reading.low
    assert wider.high >= of_reading.high


@calm
@given(READINGS, DIPS, CHANCES)
def test_chances_agree_with_ranges_and_the_library(readings, dips, chance):
    line = with_readings(usual_prior(), readings)
    high = predict(line, dips, chance).high
    assert chance_over(line, dips, high) == pytest.approx((1 - chance) / 2, rel=1e-6)
    by_library = stats.t.sf(high, line.df, line.at(dips), line.doubt_of_reading(dips))
    assert chance_over(line, dips, high) == pytest.approx(by_library, rel=1e-6)
    assert chance_reached(line, dips, predict_line(line, dips, chance).low) == pytest.approx(
        (1 + chance) / 2, rel=1e-6
    )


def test_dips_left_are_the_rule_of_three_where_all_is_certain():
    """TRADE P9: (22 - 2) / 0.6 = 33.33, so 34 dips; 14 of them done leave 20."""
    certain = usual_prior(2, 0.6, start_doubt=1e-6, growth_doubt=1e-9, scatter=1e-3)
    left = dips_left(certain, 0, 22)
    assert (left.fewest, left.likely, left.most, left.words) == (34, 34, 34, "34 dips left.")
    assert dips_left(certain, 14, 22).likely == 20


@calm
@given(READINGS, DIPS, MM, CHANCES)
def test_dips_left_keep_their_promise(readings, done, to_mm, chance):
    line = with_readings(usual_prior(), readings)
    assume(line.growth > 0.05)
    left = dips_left(line, done, to_mm, chance)
    if left.likely:
        assert line.at(done + left.likely) >= to_mm > line.at(done + left.likely - 1)
        assert left.fewest <= left.likely
    if left.most:
        assert left.most >= (left.likely or 0)
        assert chance_reached(line, done + left.most, to_mm) >= (1 + chance) / 2 - 1e-9
        assert chance_reached(line, done + left.most - 1, to_mm) < (1 + chance) / 2 + 1e-9


def test_dips_left_in_words():
    line = with_readings(usual_prior(), straight(2.0, 0.6, (8, 16, 24)))
    left = dips_left(line, 24, 21.7)
    assert left.words == f"{left.likely} dips left ({left.fewest} to {left.most}, 90 times in 100)."
    assert dips_left(line, 40, 21.7).words == "At gauge."
    assert dips_left(line, 50, 21.7).most == 0


def test_a_line_that_does_not_grow_asks_for_a_reading():
    line = with_readings(usual_prior(), [Reading(n, 5) for n in range(0, 60, 2)])
    left = dips_left(line, 60, 22)
    assert left.likely is None
    assert str(MOST_DIPS) in left.words


def test_what_is_known_too_badly_has_no_upper_end():
    left = dips_left(usual_prior(2, 0.3, growth_doubt=0.3), 0, 22)
    assert left.most is None
    assert " or more, " in left.words


@pytest.mark.parametrize(
    ("low", "high", "growth", "aim"),
    [
        (21.5, 22.5, 0.6, 21.7),
        (21.5, 22.5, 1.4, 21.5),
        (21.5, 22.5, 0, 22),
        (Decimal("9.5"), Decimal("10.5"), 0.5, 9.75),
    ],
)
def test_aim_is_where_another_dip_leads_further_from_the_middle(low, high, growth, aim):
    assert aim_mm(low, high, growth) == pytest.approx(aim)


def test_the_next_stage_begins_where_the_last_ended():
    core = with_readings(usual_prior(2, 0.6), straight(2.0, 0.6, (10, 20, 30)))
    over = carry_over(core, 30, usual_prior(2, 0.4))
    assert over.at(30) == pytest.approx(core.at(30))
    assert over.doubt(30) == pytest.approx(core.doubt(30))
    assert over.growth == 0.4
    assert over.doubt(35) ** 2 == pytest.approx(core.doubt(30) ** 2 + (5 * 0.15) ** 2)
    assert with_readings(over, straight(20.0 - 30 * 0.4, 0.4, (32, 36))).growth == pytest.approx(0.4, abs=0.05)


@pytest.mark.parametrize("readings", [[], [Reading(5, 5)], [Reading(5, 5), Reading(9, 7)], [Reading(5, 5)] * 4])
def test_too_little_tells_nothing(readings):
    with pytest.raises(ValueError, match="too few readings"):
        predict(with_readings(flat_prior(), readings), 10)


@pytest.mark.parametrize("mm", ["NaN", "Infinity"])
def test_a_reading_that_is_no_number_is_refused(mm):
    with pytest.raises(ValueError, match="must be a number"):
        with_readings(usual_prior(), [Reading(3, Decimal(mm))])


@pytest.mark.parametrize("wrong", [{"start": 0}, {"growth": -0.6}, {"scatter": 0}, {"growth_doubt": float("nan")}])
def test_a_prior_that_is_none_is_refused(wrong):
    with pytest.raises(ValueError, match="above nought"):
        usual_prior(**wrong)


@pytest.mark.parametrize("chance", [0, 1, -0.5, 7])
def test_what_is_no_chance_is_refused(chance):
    for ask in (lambda: predict(usual_prior(), 5, chance), lambda: dips_left(usual_prior(), 5, 22, chance)):
        with pytest.raises(ValueError, match="chance"):
            ask()
