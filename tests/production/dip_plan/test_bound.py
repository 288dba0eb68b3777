"""No plan beats the bounds; where colours do not get in each other's way they are met."""

from dataclasses import replace
from datetime import timedelta

import pytest

from production.dip_plan import bound as module
from production.dip_plan.backlog import certain_cost, earliest_day, frame_backlog
from production.dip_plan.bound import prove
from production.dip_plan.construct import construct
from production.dip_plan.exact import optimum
from production.dip_plan.half_days import HalfDays, spans, turn_of
from production.dip_plan.instances import make
from production.dip_plan.problem import LATE, Want
from tests.production.dip_plan.tiny_floors import BEGINS, TURN, drawn, floor, half_days, item, vat


@pytest.mark.parametrize("seed", range(30))
def test_no_bound_lies_above_the_optimum(seed):
    problem = drawn(seed)
    least, bound = optimum(problem).cost, prove(problem)
    assert bound.total <= least
    assert LATE * bound.late <= least
    assert bound.over == 0


@pytest.mark.parametrize("size", [("small", 1, 0.72), ("small", 2, 0.55), ("small", 3, 1.5)])
def test_no_bound_lies_above_a_plan(size):
    problem = make(*size)
    plan = construct(problem)
    bound = prove(problem, plan)
    assert bound.total <= plan.cost.total
    assert bound.late <= plan.cost.late
    assert bound.change_minutes <= plan.cost.change_minutes
    assert bound.how


def test_bounds_are_met_where_colours_do_not_meet():
    """Two vats, two colours, each in its own: nothing need be late or changed; a third colour has to be filled in."""
    items = [item(at, at, 2, 4) for at in range(3)]
    wants = [Want(at, at, 4, BEGINS + timedelta(2), 1, "w") for at in range(3)]
    change_s = [[0 if a == b else TURN for b in range(3)] for a in range(3)]
    vats = [vat(0, 0, 1, 3), vat(1, 1, 1, 3)]
    problem = floor(items, wants, vats, change_s, half_days(4))
    assert prove(problem).total == optimum(problem).cost == TURN // 60
    alone = replace(problem, wants=problem.wants[:2])
    assert prove(alone).total == optimum(alone).cost == 0


def test_what_is_overdue_counts_from_the_first_day():
    problem = floor(
        [item(0, 0, 2, 4)], [Want(0, 0, 4, BEGINS - timedelta(10), 2, "w")], [vat(0, 0, 1, 1)], [[0]], half_days(2)
    )
    assert certain_cost(problem) == LATE * 4 * 2 * 10
    assert prove(problem).total == optimum(problem).cost == LATE * 4 * 2 * 11


def test_frames_that_hang_are_there_when_their_turns_are_done():
    problem = make("small")
    plan = construct(problem)
    for ready in plan.ready:
        if ready.started >= 0:
            assert earliest_day(problem, problem.started[ready.started]) <= ready.ready


def test_backlog_falls_with_every_frame():
    problem = make("small")
    table = frame_backlog(problem, 0)
    assert (table[:, 1:] <= table[:, :-1]).all()
    assert not table[:, -1].any()


def test_nothing_to_hang_and_too_large_a_floor_are_said(monkeypatch):
    problem = make("small")
    empty = prove(replace(problem, wants=(), started=()))
    assert (empty.late, empty.change_minutes, empty.over, empty.total) == (0, 0, 0, 0)
    assert "Nothing is to be hung" in empty.how
    monkeypatch.setattr(module, "TOO_LARGE", 10)
    large = prove(problem)
    assert (large.late, large.total) == (None, None)
    assert large.how.startswith("No useful bound")


def test_bounds_are_the_same_every_time():
    problem = make("small")
    assert prove(problem) == prove(problem)


def test_half_days_know_even_floors_only():
    problem = make("small")
    assert turn_of(problem) == 360
    uneven = replace(problem, change_s=tuple(tuple(seconds + 1 for seconds in row) for row in problem.change_s))
    assert turn_of(uneven) is None
    with pytest.raises(ValueError, match="not all alike"):
        HalfDays(uneven)


def test_spans_of_a_frame():
    """Ten turns a half-day: a frame of twelve ends in the next one, or in the one after if hung late."""
    ways = spans([10, 10, 10], 0, 12)
    assert [(way.halves, way.first, way.last) for way in ways] == [(1, 2, 10), (2, 1, 1)]
    assert [way.halves for way in spans([10, 10, 10], 2, 12)] == []
    assert [(way.halves, way.first, way.last) for way in spans([10, 10], 0, 10)] == [(0, 10, 10), (1, 1, 9)]
