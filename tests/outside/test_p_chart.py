"""The p-chart against the published example. TRADE is the project's fact sheet, by its numbers."""

import pytest

from production.p_chart import p_chart

# NIST/SEMATECH e-Handbook 6.3.3.2: chips found defective on 30 wafers, 50 looked at on each (TRADE 5.1: S70, S71). The
# same counts are the can-leak example of Introduction to Statistical Quality Control (S72, S73), which goes on with
# the 24 samples below, after the machine was set right.
WAFERS = [12, 15, 8, 10, 4, 7, 16, 9, 14, 10, 5, 6, 17, 12, 22, 8, 10, 5, 13, 11, 20, 18, 24, 15, 9, 12, 7, 13, 9, 6]
LATER = [9, 6, 12, 5, 6, 4, 6, 3, 7, 6, 2, 4, 3, 6, 5, 4, 8, 5, 6, 7, 5, 6, 3, 5]
FIRST, THEN = [(count, 50) for count in WAFERS], [(count, 50) for count in LATER]


def places(chart) -> list[int]:
    """Samples out of control, counted from 1 as the handbook does."""
    return [place + 1 for place in chart.signals]


def test_centre_and_limits():
    """Published 0.2313, 0.4102, 0.0524 (S70, S71); full precision calculated in TRADE 5.1."""
    assert (sum(WAFERS), len(WAFERS)) == (347, 30)
    chart = p_chart(FIRST)
    assert chart.centre == pytest.approx(0.2313333333333333, rel=1e-14)
    for point in chart.points:
        assert not point.exact
        assert point.upper == pytest.approx(0.4102391185947385, rel=1e-13)
        assert point.lower == pytest.approx(0.0524275480719282, rel=1e-13)
    assert (round(chart.centre, 4), round(point.upper, 4), round(point.lower, 4)) == (0.2313, 0.4102, 0.0524)


def test_signals_are_samples_15_and_23():
    """Published: 15 (new stock, share 0.44) and 23 (inexperienced operator, 0.48) (S73)."""
    chart = p_chart(FIRST)
    assert places(chart) == [15, 23]
    assert [chart.points[place].share for place in chart.signals] == [0.44, 0.48]


def test_without_the_explained_samples_21_is_out_too():
    """0.2150, 0.3893, 0.0407 (from memory); 301/1400 and full precision calculated in TRADE 5.1."""
    chart = p_chart(FIRST, without=[14, 22])
    assert chart.centre == 0.215
    assert chart.points[0].upper == pytest.approx(0.3892971600457105, rel=1e-13)
    assert chart.points[0].lower == pytest.approx(0.0407028399542896, rel=1e-13)
    assert places(chart) == [15, 21, 23]


def test_later_samples_against_the_earlier_centre():
    """Only sample 41 (0.04) is below the 0.215 limits; the 24 later ones share 0.1108 (from memory)."""
    chart = p_chart(THEN, centre=0.215)
    assert [31 + place for place in chart.signals] == [41]
    assert chart.points[10].share == 0.04
    assert p_chart(THEN).centre == pytest.approx(0.1108333333333333, rel=1e-14)


def test_later_samples_all_lie_on_one_side():
    """Eight in a row on one side (Western Electric rule, from memory): from the fourth on, as 12 of 50 is the last
    above the old centre. The textbook says the level has changed."""
    assert p_chart(THEN, centre=0.215).drifts == [(3, 23)]


@pytest.mark.parametrize(
    ("hung", "upper", "lower"),
    [(48, 0.1974734012, 0), (96, 0.1630662386, 0), (144, 0.1478232998, 0.0121767002)],
)
def test_limits_follow_the_size(hung, upper, lower):
    """Share 0.08, sizes 48, 96 and 144, calculated in TRADE 5.1; a raw lower limit below nought is nought.

    TRADE's figure for 48, 0.1974732447, is wrong from the seventh place: 0.08 + 3 sqrt(0.0736 / 48) = 0.1974734012.
    """
    (point,) = p_chart([(0, hung)], centre=0.08, exact=False).points
    assert (point.upper, point.lower) == pytest.approx((upper, lower), abs=1e-9)
