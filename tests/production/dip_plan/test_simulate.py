"""Every turn of it: small floors by hand, and floors with everything at once against the second reading."""

from dataclasses import replace
from datetime import timedelta

import pytest

from production.dip_plan.check import faults
from production.dip_plan.construct import construct
from production.dip_plan.problem import FramePin, Frozen, Stage, Started, VatPin, Want
from production.dip_plan.simulate import simulate
from tests.production.dip_plan.rich_floors import rich_floor
from tests.production.dip_plan.tiny_floors import BEGINS, TURN, days, floor, half_days, item, vat


def one_vat(items, wants, *, positions=1, halves=4, change=TURN, **given):
    vats = [vat(0, 0, positions, 2)]
    return floor(items, wants, vats, [[0, change], [change, 0]], half_days(halves), **given)


def want(at: int, pairs: int, day: int = 0, weight: int = 1) -> Want:
    return Want(at, at, pairs, BEGINS + timedelta(day), weight, f"line {at}")


def test_a_frame_hangs_one_turn_undipped_and_is_dipped_from_the_next_on():
    plan = simulate(one_vat([item(0, 0, 3, 4)], [want(0, 4)]), [[0] * 4])
    (row,) = plan.hangings
    assert (row.starts, row.first, row.ends, row.nights) == (0, TURN, 4 * TURN, 0)
    assert plan.wants[0].done == BEGINS + timedelta(1)
    assert plan.cost.late == 4


def test_a_turn_is_not_cut_by_closing_time():
    """Eight turns of half an hour fit a day of four hours; a turn of fifty minutes fits four times."""
    candle = replace(item(0, 0, 5, 4), stages=(Stage(0, 5, 3000, 60),))
    (row,) = simulate(one_vat([candle], [want(0, 4)]), [[0] * 4]).hangings
    assert row.ends == 8 * TURN + 2 * 3000
    assert row.nights == 1


def test_a_turn_lasts_as_long_as_its_frames_need_at_the_vat():
    """Three frames of a quarter of an hour each make a turn of three quarters, one alone half an hour."""
    candle = replace(item(0, 0, 2, 4), stages=(Stage(0, 2, TURN, 900),))
    plan = simulate(one_vat([candle], [want(0, 12)], positions=3), [[0] * 4])
    assert {row.ends for row in plan.hangings} == {3 * 2700}


def test_the_bath_does_not_change_under_a_frame():
    """It would need until half-day 2, and the bath goes at 1: it is hung when the bath is back."""
    plan = simulate(one_vat([item(0, 0, 4, 4)], [want(0, 4)]), [[0, 1, 0, 0]])
    assert plan.hangings[0].starts == 8 * TURN + TURN


def test_a_second_stage_waits_for_its_bath():
    candle = replace(item(0, 0, 2, 4), stages=(Stage(0, 2, TURN, 60), Stage(1, 1, TURN, 60)))
    core, colour = simulate(one_vat([candle], [want(0, 4)]), [[0, 1, 1, 1]]).hangings
    assert (core.stage, core.ends, colour.stage) == (0, 3 * TURN, 1)
    assert (colour.frame, colour.starts, colour.first) == (core.frame, 5 * TURN, 6 * TURN)


def test_no_more_is_threaded_than_there_are_hands():
    plan = simulate(one_vat([item(0, 0, 1, 4)], [want(0, 12)], positions=3, threads=1), [[0] * 4])
    assert [row.starts for row in plan.hangings] == [0, 4 * TURN, 8 * TURN]


def test_scarce_wax_is_not_hung_twice():
    plan = simulate(one_vat([item(0, 0, 1, 4)], [want(0, 12)], positions=3, wax_g=(250,)), [[0] * 4])
    assert len(plan.hangings) == 2
    assert plan.wants[0].open == 4


def test_frames_on_the_floor_come_first_and_what_is_hung_for_counts():
    problem = one_vat([item(0, 0, 3, 4)], [want(0, 4, 1)])
    hanging = Started(1, "F1", 0, (Stage(0, 2, TURN, 60),), 0, 0, ((0, 2),), 2)
    waiting = replace(hanging, key=2, code="F2", vat=-1, promised=(), spare=1)
    off = Started(3, "F3", 0, (), -1, 0, (), 1, hard_s=3600)
    plan = simulate(replace(problem, started=(hanging, waiting, off)), [[0] * 4])
    assert [(row.started, row.starts, row.first, row.ends) for row in plan.hangings] == [
        (0, 0, 0, 2 * TURN),
        (1, 2 * TURN, 3 * TURN, 5 * TURN),
    ]
    assert plan.wants[0].open == 0
    assert sum(fill.pairs for fill in plan.fills) == 6


def test_a_pinned_frame_is_hung_in_its_half_day_at_its_position():
    problem = one_vat([item(0, 0, 2, 4), item(1, 0, 2, 4)], [want(0, 8), want(1, 4)], positions=2)
    plan = simulate(replace(problem, frame_pins=(FramePin(1, 0, 1, 0),)), [[0] * 4])
    (pinned,) = [row for row in plan.hangings if row.item == 1]
    assert (pinned.starts, pinned.position) == (4 * TURN, 0)
    assert not plan.said


def test_a_pinned_bath_is_held_and_one_that_cannot_be_is_named():
    problem = one_vat([item(0, 0, 2, 4)], [want(0, 4)])
    pinned = replace(problem, vat_pins=(VatPin(0, 2, 1), VatPin(0, 2, 0)))
    plan = simulate(pinned, [[0] * 4])
    assert plan.baths == ((0, 0, 1, 0),)
    assert any("cannot hold colour 0" in said for said in plan.said)


def test_frozen_half_days_hang_just_what_is_frozen():
    problem = one_vat([item(0, 0, 2, 4)], [want(0, 8)], positions=2)
    plan = simulate(replace(problem, frozen=Frozen(1, ((0,),), ((0, 0, 1, TURN),))), [[0] * 4])
    assert [(row.starts, row.position) for row in plan.hangings] == [(TURN, 1), (4 * TURN, 0)]


@pytest.mark.parametrize("seed", range(60))
def test_whatever_the_dice_give_the_second_reading_finds_no_fault(seed):
    problem = rich_floor(seed)
    plan = construct(problem)
    assert faults(problem, plan) == []
    assert plan.claimed == plan.cost.total


def test_no_hours_and_no_vats_are_said():
    problem = one_vat([item(0, 0, 2, 4)], [want(0, 4)])
    shut = replace(problem, halves=(), threads=(), days=())
    assert "no working hours" in " ".join(construct(shut).said)
    assert construct(shut).wants[0].open == 4
    assert "no vat" in " ".join(construct(replace(problem, vats=())).said)


def test_what_cannot_be_made_is_said_and_the_rest_is_planned():
    long = replace(item(0, 0, 2, 4), length_mm=900)
    problem = one_vat([long, item(1, 0, 2, 4)], [want(0, 4), want(1, 4, -3)], work_days=days(4))
    plan = construct(problem)
    assert "candle 0 needs 900 mm" in " ".join(plan.said)
    assert "4 pairs were due before today" in " ".join(plan.said)
    assert [row.open for row in plan.wants] == [0, 4]
