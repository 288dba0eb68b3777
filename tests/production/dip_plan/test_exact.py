"""The best plan to the turn keeps the floor's limits, and says what it does not know."""

from dataclasses import replace
from datetime import timedelta

import pytest

from production.dip_plan.brute_force import cheapest, cost_of_frames
from production.dip_plan.exact import optimum
from production.dip_plan.instances import make
from production.dip_plan.problem import LATE, Want
from tests.production.dip_plan.tiny_floors import BEGINS, TURN, drawn, floor, half_days, item, vat


def two_frames(**limits):
    """Two frames that could both hang at once; due as soon as they can be there."""
    items = [item(0, 0, 3, 2, frames=2)]
    wants = [Want(0, 0, 4, BEGINS + timedelta(1), 1, "w")]
    return floor(items, wants, [vat(0, 0, 2, 1)], [[0]], half_days(4), **limits)


def test_both_hang_at_once():
    assert optimum(two_frames()).cost == cheapest(two_frames()) == 0


def test_wax_for_one_frame_leaves_two_pairs_unfilled():
    problem = two_frames(wax_g=(199,))
    assert optimum(problem).cost == cheapest(problem) == LATE * 2 * 6


def test_hands_for_one_frame_a_half_day():
    problem = two_frames(threads=1)
    assert optimum(problem).cost == cheapest(problem) == 0
    one_half = replace(problem, halves=half_days(1), threads=(1,))
    assert optimum(one_half).cost == cheapest(one_half) == LATE * 2 * 5


def test_a_change_over_longer_than_its_half_day_goes_on():
    items = [item(0, 1, 1, 2, frames=1)]
    wants = [Want(0, 0, 2, BEGINS + timedelta(1), 1, "w")]
    problem = floor(items, wants, [vat(0, 0, 1, 2)], [[0, 6 * TURN], [TURN, 0]], half_days(4))
    assert optimum(problem).cost == cheapest(problem) == 6 * TURN // 60


def test_baths_given_are_the_ones_that_are_paid_for():
    problem = drawn(13)
    found = optimum(problem)
    seconds = 0
    for vat_, row in zip(problem.vats, found.baths, strict=True):
        seconds += sum(problem.change_s[a][b] for a, b in zip((vat_.bath, *row), row, strict=False))
    assert 60 * found.cost >= seconds


def test_effort_that_does_not_do_is_said():
    with pytest.raises(ArithmeticError, match="so little effort"):
        optimum(make("small", load=0.3), effort=0.01)


def test_what_is_not_known_is_refused():
    problem = two_frames()
    whole = replace(problem, wants=tuple(replace(want, whole=True) for want in problem.wants))
    with pytest.raises(ValueError, match="wants by the pair only"):
        optimum(whole)
    with pytest.raises(ValueError, match="begin empty"):
        cheapest(make("small"))
    with pytest.raises(ValueError, match="too many tables"):
        cheapest(replace(drawn(13), halves=half_days(20), threads=(9,) * 20))


def test_frames_beyond_the_wants_cost_one_each():
    problem = two_frames()
    assert cost_of_frames(problem, ((0, 1), (0, 1))) == 0
    wants = (replace(problem.wants[0], pairs=2),)
    assert cost_of_frames(replace(problem, wants=wants), ((0, 1), (0, 1))) == 1
