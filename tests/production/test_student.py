"""Student's t of our own against a reference library, over thousands of cases, and against its own laws."""

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import special, stats

from production.student import chance_above, incomplete_beta, point_above

calm = settings(deadline=None, derandomize=True)

DEGREES = st.floats(min_value=0.5, max_value=500)


def test_incomplete_beta_agrees_with_the_library():
    """Against scipy.special.betainc, 4000 cases."""
    dice = random.Random(1)
    for _ in range(4000):
        a, b, x = 10 ** dice.uniform(-1, 3), 10 ** dice.uniform(-1, 3), dice.random()
        assert incomplete_beta(x, 1 - x, a, b) == pytest.approx(special.betainc(a, b, x), rel=1e-9, abs=1e-13)


def test_chance_above_agrees_with_the_library():
    """Against scipy.stats.t.sf, 4000 cases, far out in the tail too."""
    dice = random.Random(2)
    for _ in range(4000):
        t, df = dice.choice((-1, 1)) * 10 ** dice.uniform(-3, 2), 10 ** dice.uniform(-0.3, 3)
        assert chance_above(t, df) == pytest.approx(stats.t.sf(t, df), rel=1e-9, abs=1e-250)


def test_point_above_agrees_with_the_library():
    """Against scipy.stats.t.isf, 2000 cases."""
    dice = random.Random(3)
    for _ in range(2000):
        tail, df = dice.choice((dice.random(), 10 ** dice.uniform(-8, -1))), 10 ** dice.uniform(-0.3, 3)
        assert point_above(tail, df) == pytest.approx(stats.t.isf(tail, df), rel=1e-8, abs=1e-12)


@calm
@given(st.floats(min_value=1e-6, max_value=1 - 1e-6), DEGREES)
def test_point_and_chance_undo_each_other(tail, df):
    assert chance_above(point_above(tail, df), df) == pytest.approx(tail, rel=1e-9)


@calm
@given(st.floats(min_value=-1e3, max_value=1e3), DEGREES)
def test_tails_add_up(t, df):
    assert chance_above(t, df) + chance_above(-t, df) == pytest.approx(1, abs=1e-12)


def test_ends_of_the_incomplete_beta():
    assert (incomplete_beta(0, 1, 2, 3), incomplete_beta(1, 0, 2, 3)) == (0, 1)


@pytest.mark.parametrize("df", [0, -2, float("nan")])
def test_no_degrees_of_freedom_are_refused(df):
    with pytest.raises(ValueError, match="degrees of freedom"):
        chance_above(1, df)


@pytest.mark.parametrize("tail", [0, 1, -0.1, 1.1, float("nan")])
def test_no_chance_is_refused(tail):
    with pytest.raises(ValueError, match="chance"):
        point_above(tail, 5)
