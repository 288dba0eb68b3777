"""Ready-by: what it promises is there by its day, nobody comes to be later by it, and it says what binds."""

from dataclasses import replace
from datetime import date
from random import Random

import pytest

from production.chances import chance_of_firsts
from production.dip_plan.asking import asking, reserved
from production.dip_plan.check import faults
from production.dip_plan.construct import construct
from production.dip_plan.instances import make
from production.dip_plan.problem import VatPin
from production.dip_plan.ready_by import answer, earliest
from production.dip_plan.shares import PLAN, ROOM, STOCK, Demand, Supply, earliest_share, harmed, share_out
from tests.production.dip_plan.asked import with_answers

FLOORS = ({}, {"load": 0.9, "whole": 0.5}, {"turn_minutes": 2, "week": 5}, {"load": 0.55, "seed": 2, "week": 5})


@pytest.fixture(scope="module", params=FLOORS, ids=str)
def floor(request):
    problem = make("small", **request.param)
    return problem, construct(problem)


def test_the_checker_finds_every_answer_kept_and_nobody_later(floor):
    problem, plan = floor
    dice = Random(4)
    for _ in range(4):
        state, answers = asking(problem, plan), []
        for _ in range(3):
            found, state = answer(state, dice.randrange(len(problem.items)), dice.choice((12, 48, 120)))
            answers += [found] if found.day else []
        new_problem, new_plan, places = with_answers(state, plan, answers)
        assert faults(new_problem, new_plan) == []
        for at, before in enumerate(plan.wants):
            after = new_plan.wants[places[at]]
            assert (after.late, after.open) <= (before.late, before.open)
        for want, gets in zip(new_problem.wants, new_plan.wants, strict=True):
            if want.key < 0:
                assert gets.open == 0
                assert gets.done <= want.due


def test_an_order_is_answered_row_by_row_and_as_a_whole():
    problem = make("small", load=0.55)
    plan = construct(problem)
    answers, day = earliest(problem, plan, [(0, 12), (1, 24), (0, 12)])
    assert day == max(found.day for found in answers)
    alone = answer(asking(problem, plan), 0, 12)[0]
    assert answers[0] == alone
    assert answers[2].day >= alone.day, "the second row of a candle comes after the first"


def test_a_question_changes_nothing():
    problem = make("small", load=0.55)
    plan = construct(problem)
    state = asking(problem, plan)
    first = answer(state, 3, 48)
    assert answer(state, 3, 48)[0] == first[0]
    assert state.room.added == []


def bare(**changes):
    """A floor nobody waits for anything of."""
    problem = replace(make("small", load=0.55), wants=(), started=(), **changes)
    return problem, construct(problem)


def test_an_idle_floor_is_as_quick_as_dips_and_hardening():
    problem, plan = bare()
    item = next(at for at, item in enumerate(problem.items) if item.stages[0].bath == problem.vats[0].bath)
    found, _ = answer(asking(problem, plan), item, 5)
    assert (found.parts, found.frames) == ({ROOM: 5}, 1)
    assert "dips and 12 hours to harden" in found.binds
    assert found.block == ""


def test_a_colour_no_vat_holds_needs_a_block_and_says_so():
    problem, _ = bare()
    held = {vat.bath for vat in problem.vats}
    item = next(at for at, item in enumerate(problem.items) if item.stages[0].bath not in held)
    name = problem.baths[problem.items[item].stages[0].bath].name
    pinned = tuple(VatPin(vat, half, over.bath) for vat, over in enumerate(problem.vats) for half in range(4))
    found, _ = answer(asking(*bare(vat_pins=pinned)), item, 5)
    third = problem.days[2].date
    assert found.block.endswith(f"changed to {name} on {third:%A} {third.day} {third:%b}")
    assert found.binds == f"no vat in {name} until {third:%A} {third.day} {third:%b}"


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (
            lambda p: {"vats": tuple(replace(v, may_hold=frozenset({v.bath})) for v in p.vats)},
            "no vat may hold colour",
        ),
        (lambda p: {"vats": tuple(replace(v, depth_mm=10) for v in p.vats)}, "covers a candle of"),
        (lambda p: {"wax_g": (0,)}, "the wax in hand is spoken for"),
        (lambda p: {"threads": (0,) * len(p.halves)}, "not enough room up to"),
    ],
)
def test_what_can_never_be_is_said(change, words):
    problem = replace(make("small", load=0.55), wants=(), started=())
    held = {vat.bath for vat in problem.vats}
    needs_block = "may hold" in words
    item = next(at for at, item in enumerate(problem.items) if (item.stages[0].bath in held) != needs_block)
    problem = replace(problem, **change(problem))
    found, _ = answer(asking(problem, construct(problem)), item, 5)
    assert found.day is None
    assert words in found.binds


def test_no_working_hours_and_no_pairs():
    problem = replace(make("small"), halves=(), days=(), wants=(), started=(), threads=())
    assert answer(asking(problem, construct(problem)), 0, 5)[0].binds == "no working hours are set up"
    with pytest.raises(ValueError, match="1 pair or more"):
        answer(asking(problem, construct(problem)), 0, 0)


def test_stock_goes_to_those_who_wait_before_whoever_asks():
    problem, plan = bare()
    day = problem.days[0].date
    state = replace(asking(problem, plan), stock={0: 20})
    assert answer(state.with_demands({0: []}), 0, 20)[0].parts == {STOCK: 20}
    held = answer(state.with_demands({0: [Demand(15, day)]}), 0, 20)[0]
    assert (held.parts[STOCK], held.parts[ROOM]) == (5, 15)
    # Who waits till later can wait for pairs still to be dipped.
    later = answer(state.with_demands({0: [Demand(15, problem.days[8].date)]}), 0, 20)[0]
    assert (later.parts, later.day, later.chance) == ({STOCK: 20}, day, 1.0)


def test_room_is_kept_for_orders_the_plan_does_not_know():
    problem, plan = bare()
    waiting = asking(problem, plan).with_demands({0: [Demand(200, problem.days[3].date)]})
    kept = reserved(waiting, [0])
    assert sum(share.open for share in kept.before[0]) == 0
    assert answer(kept, 0, 48)[0].day >= answer(asking(problem, plan), 0, 48)[0].day


def test_the_chance_counts_everybody_the_frames_are_counted_on_for():
    problem = make("small", load=0.55)
    plan = construct(problem)

    def chance(item, hung, need):
        return chance_of_firsts(hung, need, 90, 100)

    found, _ = answer(asking(problem, plan, chance=chance), 0, 24)
    assert 0 < found.chance <= 1
    assert answer(asking(problem, plan), 0, 24)[0].chance is None


def test_a_line_that_comes_later_but_by_its_day_is_no_later():
    first, second, third = (date(2026, 12, n) for n in (1, 2, 3))
    supplies = [Supply(day, None, n, 10, PLAN) for n, day in enumerate((first, third))]
    calm, pressed = Demand(10, third), Demand(10, second)
    for demand, expected in ((calm, first), (pressed, third)):
        before = share_out(supplies, [demand], third)
        assert earliest_share(supplies, [demand], before, 10, third)[0] == expected
    assert earliest_share(supplies, [calm], share_out(supplies, [calm], third), 11, third) is None


def test_a_line_of_an_order_that_goes_whole_may_wait_for_its_last_line_and_no_longer():
    days = [date(2026, 12, n) for n in (1, 2, 3)]
    supplies = [Supply(day, None, n, 10, PLAN) for n, day in enumerate(days)]
    for by, expected in ((days[1], days[0]), (days[0], days[1])):
        whole = Demand(10, days[0], by=by)
        asked = [whole, Demand(10, days[2])]
        before = share_out(supplies, asked, days[2])
        after = share_out(supplies[1:], asked, days[2])
        assert harmed(whole, before[0], after[0]) == (expected == days[1])
