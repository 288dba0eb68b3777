"""Seconds on a p-chart: limits that follow the frame, signals, stretches that drift."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from production.p_chart import FEW, RARE, binomial_limits, p_chart

calm = settings(deadline=None, derandomize=True)

FRAMES = st.lists(st.tuples(st.integers(0, 40), st.integers(1, 60)).map(lambda f: (f[0], f[0] + f[1])), min_size=1)


@calm
@given(FRAMES)
def test_limits_hold_the_centre_and_stay_shares(frames):
    chart = p_chart(frames)
    assert chart.centre == pytest.approx(sum(s for s, _ in frames) / sum(n for _, n in frames))
    for point in chart.points:
        assert 0 <= point.lower <= point.upper <= 1
        assert point.exact or point.lower <= chart.centre <= point.upper


@calm
@given(st.integers(1, 200), st.floats(min_value=0.001, max_value=0.999))
def test_exact_limits_are_the_binomial_s(hung, centre):
    """Against scipy: neither limit is rarer than RARE, and one pair further on either side is."""
    lower, upper = (round(limit * hung) for limit in binomial_limits(hung, centre))
    binomial = stats.binom(hung, centre)
    assert binomial.cdf(lower) >= RARE * (1 - 1e-9)
    assert binomial.cdf(lower - 1) < RARE * (1 + 1e-9)
    assert binomial.sf(upper - 1) >= RARE * (1 - 1e-9)
    assert binomial.sf(upper) < RARE * (1 + 1e-9)


def test_a_small_frame_has_exact_limits_and_a_large_one_the_usual():
    chart = p_chart([(1, 24), (20, 240)], centre=0.08)
    expected = [seconds * 0.08 for seconds in (24, 240)]
    assert [point.exact for point in chart.points] == [seconds < FEW for seconds in expected] == [True, False]


def test_limits_follow_the_frame():
    chart = p_chart([(4, 48), (8, 96), (12, 144)], exact=False)
    widths = [point.upper - point.lower for point in chart.points]
    assert widths == sorted(widths, reverse=True)


def test_frames_of_known_cause_are_drawn_but_leave_the_centre():
    frames = [(2, 50), (40, 50), (3, 50)]
    chart = p_chart(frames, without=[1])
    assert chart.centre == 0.05
    assert len(chart.points) == 3
    assert chart.signals == [1]


def test_frames_are_held_against_an_earlier_share():
    assert p_chart([(30, 100)], centre=0.1).signals == [0]
    assert p_chart([(30, 100)]).signals == []


def test_a_drift_is_eight_in_a_row_on_one_side():
    seven, eight = [(4, 100)] * 7, [(4, 100)] * 8
    rest = [(10, 100), (2, 100), (11, 100)]
    assert p_chart(rest + seven + rest, centre=0.05).drifts == []
    assert p_chart(rest + eight + rest, centre=0.05).drifts == [(3, 10)]
    assert p_chart(eight, centre=0.05).drifts == [(0, 7)]


def test_a_point_on_the_centre_ends_a_stretch():
    frames = [(4, 100)] * 5 + [(5, 100)] + [(4, 100)] * 5
    assert p_chart(frames, centre=0.05).drifts == []


@pytest.mark.parametrize("spoilt", [0, 24])
def test_where_all_frames_are_the_same_nothing_is_out(spoilt):
    chart = p_chart([(spoilt, 24)] * 10)
    assert (chart.signals, chart.drifts) == ([], [])


@pytest.mark.parametrize("frames", [[(5, 4)], [(-1, 4)], [(0, 0)]])
def test_what_is_no_frame_is_refused(frames):
    with pytest.raises(ValueError, match="no more seconds than pairs"):
        p_chart(frames)


def test_no_frames_no_chart():
    for frames, without in (([], ()), ([(1, 24)], (0,))):
        with pytest.raises(ValueError, match="needs a frame"):
            p_chart(frames, without=without)
    assert p_chart([], centre=0.1).points == ()
