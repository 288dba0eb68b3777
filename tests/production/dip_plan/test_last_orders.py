"""Last order days: asked of the plan day by day they are what halving finds, and the plan gone on with stays sound."""

from dataclasses import replace
from datetime import timedelta

import pytest

from production.dip_plan.asking import asking
from production.dip_plan.check import faults
from production.dip_plan.construct import construct
from production.dip_plan.instances import make
from production.dip_plan.last_orders import last_day, room_kept, stretched
from production.dip_plan.problem import Half
from production.dip_plan.ready_by import answer
from tests.production.dip_plan.asked import with_answers


@pytest.fixture(scope="module")
def floor():
    problem = make("small", load=0.7)
    return problem, construct(problem)


def longer(problem):
    """The days the problem keeps for hardening become days of work; as many more to harden in follow."""
    days, halves = list(problem.days), list(problem.halves)
    worked = len({half.day for half in halves})
    for place in range(worked, len(days)):
        day = days[place]
        middle = (day.starts + day.ends) // 2
        halves += [Half(place, day.starts, middle), Half(place, middle, day.ends)]
    for _ in range(14):
        last, week = days[-1], timedelta(days=7)
        length = last.ends - last.starts
        days.append(
            replace(
                last, date=last.date + week, opens=last.opens + week, closes=last.closes + week, starts=last.ends,
                ends=last.ends + length,
            )
        )  # fmt: skip
    return days, halves


def test_a_plan_gone_on_with_is_the_same_plan(floor):
    problem, plan = floor
    long, went_on = stretched(problem, plan, *longer(problem), lambda half: 6)
    assert went_on.hangings == plan.hangings
    assert [row[: len(problem.halves)] for row in went_on.baths] == list(plan.baths)
    assert all(set(row[len(problem.halves) :]) == {row[len(problem.halves) - 1]} for row in went_on.baths)
    assert len(long.threads) == len(long.halves) > len(problem.halves)


def test_other_hours_are_refused(floor):
    problem, plan = floor
    days, halves = longer(problem)
    other = [replace(days[0], closes=days[0].closes + timedelta(hours=1)), *days[1:]]
    with pytest.raises(ValueError, match="other working hours"):
        stretched(problem, plan, other, halves, lambda half: 6)


def test_halving_finds_what_asking_every_day_finds(floor):
    problem, plan = floor
    long, went_on = stretched(problem, plan, *longer(problem), lambda half: 6)
    state = room_kept(asking(long, went_on))
    today, by = long.days[0].date, long.days[long.halves[-1].day].date - timedelta(days=2)
    for item in range(len(long.items)):
        days = [day for day in long.days if day.date <= by]
        asked = [answer(state.at(day.ends, day.date), item, 24)[0].day for day in days]
        good = [day.date for day, ready in zip(days, asked, strict=True) if ready and ready <= by]
        found = last_day(state, item, 24, by, today)
        assert found.on == (good[-1] if good else None)
        assert good == [day.date for day in days[: len(good)]], "the later it comes, the later it is ready"
        assert found.binds or found.on == days[-1].date


def test_an_order_of_its_last_day_can_be_planned(floor):
    """The checker of plans finds the frames hung for it in place, done in time, and nobody later."""
    problem, plan = floor
    long, went_on = stretched(problem, plan, *longer(problem), lambda half: 6)
    state, by = asking(long, went_on), long.days[long.halves[-1].day].date - timedelta(days=2)
    checked = 0
    for item in range(len(long.items)):
        found = last_day(state, item, 24, by, long.days[0].date)
        day = next(day for day in long.days if day.date == found.on)
        given, after = answer(state.at(day.ends, day.date), item, 24)
        new_problem, new_plan, _ = with_answers(after, went_on, [given])
        assert faults(new_problem, new_plan) == []
        checked += bool(given.frames)
    assert checked


def test_nothing_is_left_before_the_day(floor):
    problem, plan = floor
    state = asking(problem, plan)
    found = last_day(state, 0, 24, problem.days[0].date - timedelta(days=1), problem.days[0].date)
    assert (found.on, found.ready, found.binds) == (None, None, "no day of work is left before it")
    too_many = last_day(state, 0, 100_000, problem.days[3].date, problem.days[0].date)
    assert (too_many.on, too_many.ready) == (None, None)
    assert "more than 60 frames" in too_many.binds
