"""The dip plan's optimum against what is known elsewhere: every schedule tried, rules of the textbooks, the trade."""

from dataclasses import replace
from datetime import timedelta
from itertools import pairwise, permutations
from random import Random

import pytest

from production.dip_plan.bound import prove
from production.dip_plan.brute_force import cheapest
from production.dip_plan.check import faults
from production.dip_plan.construct import construct
from production.dip_plan.exact import optimum
from production.dip_plan.instances import make
from production.dip_plan.problem import LATE, Half, Want
from tests.production.dip_plan.tiny_floors import BEGINS, TURN, days, drawn, floor, half_days, item, vat

FEW_SCHEDULES = (2, 3, 4, 6, 8, 9, 10, 12, 13, 14, 15, 16, 18, 19, 20, 21, 22)  # others take a second to minutes


@pytest.mark.parametrize("seed", FEW_SCHEDULES)
def test_every_schedule_tried_gives_the_optimum_claimed(seed):
    """Exhaustive enumeration, tiny floors."""
    problem = drawn(seed)
    least = cheapest(problem)
    claimed = optimum(problem)
    assert claimed.proven
    assert claimed.cost == claimed.least == least
    assert prove(problem).total <= least
    plan = construct(problem)
    assert faults(problem, plan) == []
    assert plan.cost.total >= least


def one_machine(jobs: list[tuple[int, int, int]]):
    """One position, no change-over, a turn a day: jobs as (days it takes, day it is due, weight), a frame each."""
    length = sum(takes for takes, _, _ in jobs)
    work_days = days(length + 2, hours=1)
    work_days = tuple(
        replace(day, closes=day.opens + timedelta(seconds=TURN), starts=at * TURN, ends=(at + 1) * TURN)
        for at, day in enumerate(work_days)
    )
    halves = tuple(Half(at, at * TURN, (at + 1) * TURN) for at in range(length))
    items = [item(at, 0, takes - 1, 1, frames=1) for at, (takes, _, _) in enumerate(jobs)]
    wants = [Want(at, at, 1, BEGINS + timedelta(due), weight, "job") for at, (_, due, weight) in enumerate(jobs)]
    return floor(items, wants, [vat(0, 0, 1, 1)], [[0]], halves, work_days=work_days)


def completions(jobs: list[tuple[int, int, int]]) -> list[int]:
    """The day each is there when done one after the other: hardened by the next morning."""
    done = 0
    return [done := done + takes for takes, _, _ in jobs]


@pytest.mark.parametrize("seed", range(6))
def test_smiths_rule(seed):
    """Weighted completion on one machine is least with the shortest time for its weight first.

    Smith 1956, Various optimizers for single-stage production (from memory). Everything is due before the start.
    """
    dice = Random(seed)
    jobs = [(dice.randint(2, 6), 0, dice.choice((1, 2, 3, 4))) for _ in range(5)]
    by_rule = sorted(jobs, key=lambda job: job[0] / job[2])
    weighted = sum(job[2] * day for job, day in zip(by_rule, completions(by_rule), strict=True))
    claimed = optimum(one_machine(jobs))
    assert claimed.proven
    assert claimed.cost == LATE * weighted


@pytest.mark.parametrize("seed", range(6))
def test_jacksons_rule(seed):
    """The greatest lateness on one machine is least with the earliest due date first: moved later by so much, all
    due dates can be kept, and by a day less not.

    Jackson 1955, Scheduling a production line to minimize maximum tardiness (from memory).
    """
    dice = Random(seed)
    jobs = [(dice.randint(2, 5), dice.randint(3, 14), 1) for _ in range(5)]
    by_rule = sorted(jobs, key=lambda job: job[1])
    latest = max(day - job[1] for job, day in zip(by_rule, completions(by_rule), strict=True))
    for moved, kept in ((latest, True), (latest - 1, False)):
        moved_jobs = [(takes, due + moved, weight) for takes, due, weight in jobs]
        assert (optimum(one_machine(moved_jobs)).cost == 0) is kept


@pytest.mark.parametrize("seed", range(4))
def test_change_overs_follow_the_shortest_path(seed):
    """One vat, a half-day a colour, change-overs by what comes after what: the shortest path through all colours,
    a travelling salesman's without the way home, by trying every order."""
    dice, colours = Random(seed), 6
    change_s = [[0 if a == b else TURN * dice.randint(1, 2) for b in range(colours)] for a in range(colours)]
    items = [item(at, at, 1, 2, frames=1) for at in range(colours)]
    wants = [Want(at, at, 2, BEGINS + timedelta(5), 1, "w") for at in range(colours)]
    problem = floor(items, wants, [vat(0, 0, 1, colours)], change_s, half_days(colours))
    shortest = min(sum(change_s[a][b] for a, b in pairwise((0, *order))) for order in permutations(range(1, colours)))
    claimed = optimum(problem)
    assert claimed.proven
    assert claimed.cost == shortest // 60


def test_the_thickest_candles_take_up_to_three_days():
    """The trade: the thickest candles hang up to three days (common practice, no source)."""
    problem = make("season")
    plan = construct(problem)
    most = max(row.nights for row in plan.hangings if row.started < 0)
    assert 1 <= most <= 2  # two nights are three days
    thickest = max(item.stages[0].dips for item in problem.items)
    assert {row.nights for row in plan.hangings if row.started < 0 and row.dips == thickest} <= {1, 2}
