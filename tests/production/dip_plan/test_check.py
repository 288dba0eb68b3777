"""The second reading finds nothing in a plan that holds, and every way of spoiling it that we could think of."""

from dataclasses import replace
from datetime import timedelta

import pytest

from production.dip_plan.check import MOST, faults
from production.dip_plan.construct import construct
from production.dip_plan.instances import make
from production.dip_plan.plan import Cost
from production.dip_plan.problem import FramePin, Frozen, VatPin


@pytest.fixture(scope="module")
def held():
    problem = make("small", load=0.55)
    return problem, construct(problem)


def new_row(plan, at: int = 0):
    return [row for row in plan.hangings if row.started < 0][at]


def with_row(plan, row, **changes):
    hangings = tuple(replace(one, **changes) if one == row else one for one in plan.hangings)
    return replace(plan, hangings=hangings)


@pytest.mark.parametrize(
    "floor",
    [{}, {"load": 0.9, "whole": 0.5}, {"turn_minutes": 2}, {"week": 5, "seed": 3}, {"seed": 4, "load": 1.5}],
    ids=str,
)
def test_a_simulated_plan_holds(floor):
    problem = make("small", **floor)
    assert faults(problem, construct(problem)) == []


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"position": 12}, "has no position 12"),
        ({"position": -1}, "has no position -1"),
        ({"vat": 9}, "there is no vat 9"),
        ({"item": 99}, "there is no item 99"),
        ({"started": 99}, "was started before"),
        ({"stage": 1}, "has no stage 1"),
        ({"starts": -1}, "is no span"),
        ({"nights": 9}, "closing times"),
        ({"dips": 1}, "1 dips where"),
        ({"vat": 1}, "does not hold its bath"),
        ({"item": 0}, "0"),
    ],
)
def test_a_row_changed_is_found(held, changes, words):
    problem, plan = held
    row = next(row for row in plan.hangings if row.started < 0 and row.vat == 0 and row.item != 0)
    found = faults(problem, with_row(plan, row, **changes))
    assert any(words in fault for fault in found), found


@pytest.mark.parametrize("field", ["starts", "first", "ends"])
@pytest.mark.parametrize("seconds", [1, -1, 360])
def test_a_frame_off_its_turn_is_found(held, field, seconds):
    problem, plan = held
    row = new_row(plan, 8)
    assert faults(problem, with_row(plan, row, **{field: getattr(row, field) + seconds}))


def test_two_frames_on_one_position_are_found(held):
    problem, plan = held
    row = new_row(plan)
    twice = replace(plan, hangings=(*plan.hangings, replace(row, frame=999)))
    assert any("at once" in fault for fault in faults(problem, twice))


def test_a_bath_changed_under_a_frame_is_found(held):
    problem, plan = held
    row = new_row(plan)
    half = next(at for at, half in enumerate(problem.halves) if half.ends > row.starts)
    baths = [list(line) for line in plan.baths]
    baths[row.vat][half] = (baths[row.vat][half] + 1) % len(problem.baths)
    found = faults(problem, replace(plan, baths=tuple(map(tuple, baths))))
    assert any("does not hold its bath" in fault for fault in found)
    assert any("changed over" in fault for fault in found)
    assert any("change_minutes" in fault for fault in found)


def test_a_table_of_the_wrong_size_is_found(held):
    problem, plan = held
    assert faults(problem, replace(plan, baths=plan.baths[:1])) == ["the table of baths is not vats by half-days"]


def test_a_frame_left_out_is_found(held):
    problem, plan = held
    hanging = next(row for row in plan.hangings if row.started >= 0)
    without = replace(plan, hangings=tuple(row for row in plan.hangings if row != hanging))
    assert any("is not in the plan" in fault for fault in faults(problem, without))


@pytest.mark.parametrize("name", ["late", "change_minutes", "over", "total"])
def test_a_cost_made_nicer_is_found(held, name):
    problem, plan = held
    cost = Cost(**{**vars(plan.cost), name: getattr(plan.cost, name) - 1})
    assert any(fault.startswith(f"cost, {name}:") for fault in faults(problem, replace(plan, cost=cost)))


def test_supply_made_nicer_is_found(held):
    problem, plan = held
    ready = plan.ready[-1]
    for nicer in (
        replace(ready, pairs=ready.pairs + 1),
        replace(ready, ready=ready.ready - timedelta(1)),
        replace(ready, hard=ready.hard - timedelta(hours=1)),
    ):
        assert faults(problem, replace(plan, ready=(*plan.ready[:-1], nicer)))
    assert faults(problem, replace(plan, ready=plan.ready[:-1]))
    fill = plan.fills[-1]
    assert faults(problem, replace(plan, fills=(*plan.fills[:-1], replace(fill, pairs=fill.pairs + 1))))
    assert faults(problem, replace(plan, fills=plan.fills[:-1]))
    gets = plan.wants[-1]
    for nicer in (replace(gets, late=gets.late - 1), replace(gets, open=gets.open - 1), replace(gets, done=None)):
        if nicer != gets:
            assert faults(problem, replace(plan, wants=(*plan.wants[:-1], nicer)))


def test_limits_broken_are_found(held):
    problem, plan = held
    assert any("can be threaded" in fault for fault in faults(replace(problem, threads=(1,) * 20), plan))
    assert any("g are in hand" in fault for fault in faults(replace(problem, wax_g=(10,)), plan))
    shallow = tuple(replace(vat, depth_mm=100) for vat in problem.vats)
    assert any("does not cover" in fault for fault in faults(replace(problem, vats=shallow), plan))
    none = tuple(replace(vat, may_hold=frozenset()) for vat in problem.vats)
    assert any("may not hold" in fault for fault in faults(replace(problem, vats=none), plan))


def test_pins_not_kept_are_found_unless_they_are_named(held):
    problem, plan = held
    other = (plan.baths[0][5] + 1) % len(problem.baths)
    pinned = replace(problem, vat_pins=(VatPin(0, 5, other),))
    assert any("is pinned to" in fault for fault in faults(pinned, plan))
    assert faults(pinned, replace(plan, said=("vat 1 cannot be white on Wednesday",))) == []
    row = new_row(plan)
    half = next(at for at, half in enumerate(problem.halves) if half.ends > row.starts)
    assert faults(replace(problem, frame_pins=(FramePin(row.item, row.vat, half, row.position),)), plan) == []
    elsewhere = replace(problem, frame_pins=(FramePin(row.item, row.vat, half + 2, row.position),) * 40)
    assert any("is pinned over" in fault for fault in faults(elsewhere, plan))


def test_frozen_half_days_are_held(held):
    problem, plan = held
    until = problem.halves[1].ends
    hung = tuple(
        (row.item, row.vat, row.position, row.starts)
        for row in plan.hangings
        if row.started < 0 and row.starts < until
    )
    frozen = Frozen(2, plan.baths, hung)
    assert faults(replace(problem, frozen=frozen), plan) == []
    assert any(
        "in a frozen half-day" in fault for fault in faults(replace(problem, frozen=Frozen(2, plan.baths)), plan)
    )
    more = replace(frozen, hang=(*hung, (0, 0, 0, 0)))
    assert any("is gone" in fault for fault in faults(replace(problem, frozen=more), plan))
    late = replace(frozen, hang=tuple((*row[:3], row[3] + 1) for row in hung))
    assert any("before its frozen hour" in fault for fault in faults(replace(problem, frozen=late), plan))


def test_a_plan_of_faults_is_told_in_so_many_words(held):
    problem, plan = held
    worst = replace(plan, hangings=tuple(replace(row, position=-1) for row in plan.hangings) * 4)
    assert len(faults(problem, worst)) == MOST
