"""What would save a promise: every way is a simulated plan, and it names who would be later by it."""

from dataclasses import replace
from datetime import timedelta

import pytest

from production.dip_plan.check import faults
from production.dip_plan.construct import construct
from production.dip_plan.instances import make
from production.dip_plan.save import Tried, moved_up, ways_to_save
from production.dip_plan.simulate import simulate


@pytest.fixture(scope="module")
def busy():
    """A small floor with more to do than it can, and a line of it that comes late."""
    problem = make("small", load=0.9, seed=2, week=5)
    plan = construct(problem)
    late = [
        want
        for want, gets in zip(problem.wants, plan.wants, strict=True)
        if gets.late and want.due > problem.days[3].date
    ]
    return problem, plan, late[0]


def test_a_promise_the_plan_keeps_needs_nothing_but_the_plan(busy):
    problem, plan, _ = busy
    kept = next(gets for gets in plan.wants if gets.done and not gets.late)
    ways = ways_to_save(problem, plan.baths, {problem.wants[kept.want].key}, kept.done)
    assert [(way.saves, way.harm, way.later) for way in ways] == [(True, 0, ())]
    assert ways[0].words.startswith("plan again")


def test_ways_are_ranked_by_whom_they_make_late_then_by_the_work(busy):
    problem, plan, want = busy
    ways = ways_to_save(problem, plan.baths, {want.key}, want.due)
    assert len(ways) > 2
    assert [way.rank for way in ways] == sorted(way.rank for way in ways)
    assert any(way.saves for way in ways), ways
    assert all(bool(way.later) == (way.harm > 0) for way in ways)
    assert all(way.done and way.done <= want.due for way in ways if way.saves)


def test_who_would_be_later_is_named_with_the_days(busy):
    problem, plan, want = busy
    before = simulate(problem, plan.baths)
    moved = next(
        way for way in ways_to_save(problem, plan.baths, {want.key}, want.due) if "before everything" in way.words
    )
    after = simulate(moved_up(problem, {want.key}), plan.baths)
    own = moved_up(problem, {want.key}).wants
    late = {
        own[gets.want].key
        for gets in after.wants
        if own[gets.want].key != want.key
        and gets.late > next(b.late for b in before.wants if problem.wants[b.want].key == own[gets.want].key)
    }
    assert sorted(row.label for row in moved.later) == sorted(row.label for row in problem.wants if row.key in late)
    assert all(row.days >= 1 for row in moved.later)


def test_moving_up_is_a_question_the_checker_accepts(busy):
    problem, plan, want = busy
    first = moved_up(problem, {want.key})
    assert first.wants[0].key == want.key
    assert faults(first, simulate(first, plan.baths)) == []


def test_what_the_caller_thinks_of_is_tried_too(busy):
    problem, plan, want = busy
    more = replace(problem, threads=tuple(2 * count for count in problem.threads))
    ways = ways_to_save(
        problem, plan.baths, {want.key}, want.due - timedelta(days=30), [Tried("more hands", more, plan.baths, 480)]
    )
    hands = next(way for way in ways if way.words == "more hands")
    assert (hands.saves, hands.minutes) == (False, 480)
    assert not any(way.saves for way in ways), "nobody can have it a month before it is due"
