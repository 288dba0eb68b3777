"""Colours apart: for each colour the cheapest run of half-days under prices of half-days. No Django.

Each colour chooses by itself how many vats hold it in which half-day; what joins the colours is that there are only
so many vats. Put a price on a vat's half-day, and the colours come apart: each one's best answer is found exactly by
dynamic programming over (vats in it, work done), and their sum less the price of all vats is a bound for every plan
(Lagrange). The best prices come from a linear programme over the answers so far (Dantzig and Wolfe, from memory).
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

import numpy as np

from production.dip_plan.backlog import FAR, backlog_of, ready_day, unit_of
from production.dip_plan.problem import Problem


@dataclass(frozen=True)
class Colour:
    """One bath by itself. `cost[h][w]`: cost of the days that see the work done by the end of half-day h and not yet
    the next one's, where that is w; `before`: cost of the days that see no work yet. `setup`: units at least."""

    bath: int
    vats: int  # that may hold it
    holds: int  # vats that hold it when the plan begins
    cost: np.ndarray
    before: float
    setup: int
    minutes: float  # of the cheapest change-over into it


@dataclass(frozen=True)
class Column:
    """An answer of one colour: vats in it by half-day, changes into it, and the cost of its backlog."""

    colour: int
    vats: tuple[int, ...]
    changes: int
    late: float


def colours_of(problem: Problem) -> tuple[Colour, ...]:
    """Every bath that a candle's last stage needs."""
    wanted = {}
    for at, item in enumerate(problem.items):
        if item.stages and any(want.item == at for want in problem.wants):
            wanted.setdefault(item.stages[-1].bath, []).append(at)
    return tuple(_colour(problem, bath, items) for bath, items in sorted(wanted.items()))


def _colour(problem: Problem, bath: int, items: list[int]) -> Colour:
    unit = unit_of(problem)
    holding = [vat for vat in problem.vats if vat.bath == bath or bath in vat.may_hold]
    backlog = backlog_of(problem, items, max((vat.positions for vat in holding), default=1), unit)
    seen = _days_seen(problem, min(problem.items[item].harden_s for item in items), len(backlog))
    cost = np.zeros((len(problem.halves), backlog.shape[1]))
    for half, (from_, until) in enumerate(zip(seen, [*seen[1:], len(backlog)], strict=True)):
        cost[half] = backlog[from_:until].sum(axis=0)
    into = [row[bath] for at, row in enumerate(problem.change_s) if at != bath]
    return Colour(
        bath=bath,
        vats=len(holding),
        holds=sum(vat.bath == bath for vat in problem.vats),
        cost=cost,
        before=float(backlog[: seen[0], 0].sum()),
        setup=min(into, default=0) // unit,
        minutes=min(into, default=0) / 60,
    )


def _days_seen(problem: Problem, harden_s: int, days: int) -> list[int]:
    """For each half-day the first calendar day that can see work done in it: done with its first second, at best."""
    begins = problem.days[0].date
    seen = []
    for half in problem.halves:
        day = ready_day(problem, half.starts, harden_s)
        seen.append(days if day is None else min(days, (day - begins).days))
    return seen


def units_of(problem: Problem) -> np.ndarray:
    unit = unit_of(problem)
    return np.array([-(-(half.ends - half.starts) // unit) for half in problem.halves])


@cache
def _compiled() -> Callable:
    """The dynamic programme, compiled: 200 times quicker than the same loops as they stand (measured)."""
    from numba import njit  # noqa: PLC0415 (takes a second, and only bounds need it)

    return njit(cache=True)(_cheapest)


def _cheapest(cost, units, setup, holds, vats, change, price):
    """Least cost + change a vat taken in + price a vat's half-day, and the vats in each half-day that reach it."""
    halves, works = cost.shape
    now = np.full((vats + 1, works), FAR)
    now[holds, 0] = 0.0
    came_vats = np.zeros((halves, vats + 1, works), np.int8)
    came_work = np.zeros((halves, vats + 1, works), np.int32)
    for half in range(halves):
        after = np.full((vats + 1, works), FAR)
        for held in range(vats + 1):
            for hold in range(vats + 1):
                taken = max(0, hold - held)
                paid = change * taken + price[half] * hold
                gained = units[half] * hold - min(setup, units[half]) * taken
                for work in range(works):
                    if now[held, work] < FAR:
                        reached = min(works - 1, work + gained)
                        if now[held, work] + paid < after[hold, reached]:
                            after[hold, reached] = now[held, work] + paid
                            came_vats[half, hold, reached] = held
                            came_work[half, hold, reached] = work
        now = after + cost[half]
    hold, work = 0, 0
    for held in range(vats + 1):
        for done in range(works):
            if now[held, done] < now[hold, work]:
                hold, work = held, done
    least = now[hold, work]
    plan = np.zeros(halves, np.int64)
    for half in range(halves - 1, -1, -1):
        plan[half] = hold
        hold, work = came_vats[half, hold, work], came_work[half, hold, work]
    return least, plan


def answer(colour: Colour, units: np.ndarray, late: float, minute: float, price: np.ndarray) -> tuple[float, Column]:
    """The colour's cheapest answer where a late cost counts `late` times and a minute `minute`; its cost first."""
    least, plan = _compiled()(
        late * colour.cost, units, colour.setup, colour.holds, colour.vats, minute * colour.minutes, price
    )
    return float(least) + late * colour.before, _column(colour, units, plan)


def _column(colour: Colour, units: np.ndarray, plan: np.ndarray) -> Column:
    held, work, late, changes = colour.holds, 0, colour.before, 0
    for half, hold in enumerate(plan):
        taken = max(0, int(hold) - held)
        work = min(colour.cost.shape[1] - 1, work + units[half] * hold - min(colour.setup, units[half]) * taken)
        late += colour.cost[half, work]
        changes += taken
        held = int(hold)
    return Column(colour.bath, tuple(int(hold) for hold in plan), changes, float(late))
