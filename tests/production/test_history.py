"""The prior from finished frames: pooled, shrunk towards the recipe, and honest about its doubt."""

import random

import pytest

from production.growth import Reading, predict, usual_prior, with_readings
from production.history import GROWTH_APART, MOST_WORTH, START_APART, fit_history

AT = (8, 14, 20, 26, 32)


def season(frames: int, seed: int):
    """Readings of frames as a workshop's would be: start 2.2 mm and growth 0.55 mm a dip, with 0.25 and 0.03 between
    frames, read to 0.15 mm."""
    dice = random.Random(seed)
    for _ in range(frames):
        start, growth = dice.gauss(2.2, 0.25), dice.gauss(0.55, 0.03)
        yield [Reading(n, start + growth * n + dice.gauss(0, 0.15)) for n in AT]


def test_without_frames_the_recipe_stands():
    usual = usual_prior(2.5, 0.7)
    assert fit_history([], usual) is usual
    assert fit_history([[Reading(10, 8)], [Reading(10, 8), Reading(10, 8.2)], []], usual) is usual


def test_without_anything_it_is_the_trade_s_usual_figure():
    assert fit_history([]) == usual_prior()


def test_many_frames_teach_start_growth_and_how_far_frames_differ():
    line = fit_history(list(season(400, seed=1)))
    assert line.start == pytest.approx(2.2, abs=0.05)
    assert line.growth == pytest.approx(0.55, abs=0.005)
    assert line.scatter == pytest.approx(0.15, abs=0.01)
    assert line.scatter / line.slope_weight**0.5 == pytest.approx(0.03, abs=0.006)
    assert line.doubt(0) == pytest.approx(0.25, abs=0.06)


def test_frames_pull_the_recipe_by_and_by():
    """Frames all alike at 0.55 mm a dip against a recipe that says 0.80: more frames, less of the recipe."""
    frame = [Reading(n, 2.2 + 0.55 * n) for n in AT]
    growths = [fit_history([frame] * frames, usual_prior(2, 0.8)).growth for frames in (0, 1, 4, 30, 200)]
    assert growths == sorted(growths, reverse=True)
    assert growths[0] == 0.8
    assert growths[1] < 0.6
    assert growths[-1] == pytest.approx(0.55, abs=1e-3)


def test_one_frame_makes_the_next_more_certain():
    usual = usual_prior()
    (frame,) = season(1, seed=3)
    assert fit_history([frame], usual).doubt(33) < usual.doubt(33)


def test_one_frame_does_not_settle_what_all_have_in_common():
    """The next frame may lie as far from the mean as frames do, and the mean itself isn't sure yet."""
    line = fit_history([[Reading(n, 2 + 0.6 * n) for n in AT]])
    assert line.scatter / line.slope_weight**0.5 > GROWTH_APART
    assert line.doubt(0) > START_APART


def test_readings_far_from_the_start_say_little_of_it():
    """Two readings, at 30 and 32 dips, would begin at 0.5 mm if their line were drawn back: nobody believes it."""
    line = fit_history([[Reading(30, 20), Reading(32, 21.3)]], usual_prior(2, 0.6))
    assert line.start == pytest.approx(2, abs=0.1)


def test_frames_that_are_alike_are_not_taken_for_certainty():
    """Ten frames on one line exactly: the next may still differ a little."""
    line = fit_history([[Reading(n, 2 + 0.6 * n) for n in AT]] * 10)
    assert line.growth == pytest.approx(0.6, abs=1e-3)
    assert line.scatter > 0.01
    assert line.doubt(33) > 0.3


def test_scatter_is_never_taken_for_settled():
    assert fit_history(list(season(100, seed=4))).df == MOST_WORTH


@pytest.mark.parametrize("readings", [0, 1, 3])
def test_ranges_hold_as_often_as_they_say(readings):
    """600 new frames against a prior of 40: a nine-in-ten range holds their last reading about nine times in ten."""
    prior = fit_history(list(season(40, seed=5)))
    held = 0
    for frame in season(600, seed=6):
        found = predict(with_readings(prior, frame[:readings]), AT[-1], 0.9)
        held += found.low <= float(frame[-1].mm) <= found.high
    assert 0.86 <= held / 600 <= 0.97


def test_a_wild_history_gives_a_prior_all_the_same():
    line = fit_history([[Reading(1, 50), Reading(2, 1)], [Reading(1, 1), Reading(2, 50)]])
    assert line.scatter > 0
    assert line.doubt(30) > 1
