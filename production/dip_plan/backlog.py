"""What a colour's wants cost for every amount of work done by a day, at the very least. No Django.

A relaxation: of the floor only this is kept, that frames take their turns on positions. The work of a frame is the
turns of its last stage and the one it hangs undipped, each at its own cooling time, since no turn is shorter. A day's
backlog is then the cheapest that so much work allows, chosen anew each day: whole frames, supply in the order of the
wants. Every plan has at least this backlog on every day.
"""

from collections.abc import Sequence
from datetime import UTC, date, timedelta

import numpy as np

from production.dip_plan.problem import LATE, REHANG_TURNS, UNFILLED_DAYS, Problem, Started

FAR = 1e15


def unit_of(problem: Problem) -> int:
    """Seconds of work that work is counted in: the shortest turn, so that plain floors are counted exactly."""
    turns = [item.stages[-1].turn_s for item in problem.items if item.stages]
    return max(60, min(turns, default=60))


def calendar_days(problem: Problem) -> int:
    """Days of the calendar that lateness is counted on: from the first working day to the day unfilled pairs get."""
    return (problem.days[problem.halves[-1].day].date - problem.days[0].date).days + UNFILLED_DAYS


def certain_cost(problem: Problem) -> int:
    """Cost of what is overdue before the plan begins, and of promised pairs that cannot be there in time."""
    begins = problem.days[0].date
    never = begins + timedelta(days=calendar_days(problem))
    late = sum(want.weight * want.pairs * max(0, (begins - want.due).days) for want in problem.wants)
    for started in problem.started:
        there = earliest_day(problem, started) or never
        for want, pairs in started.promised:
            late += problem.wants[want].weight * pairs * max(0, (there - problem.wants[want].due).days)
    return LATE * late


def earliest_day(problem: Problem, started: Started) -> date | None:
    """The day its firsts can be there at the earliest: it never waits, and its turns are as short as they can be."""
    if started.hard_s >= 0:
        return ready_day(problem, 0, started.hard_s)
    work = sum((stage.dips + REHANG_TURNS) * stage.turn_s for stage in started.stages)
    if started.vat >= 0 and started.stages:
        work -= REHANG_TURNS * started.stages[0].turn_s
    return ready_day(problem, work, problem.items[started.item].harden_s)


def ready_day(problem: Problem, second: int, harden_s: int) -> date | None:
    """The first working day that closes after a frame done at that second of work is hard."""
    day = next((day for day in problem.days if day.starts <= second < day.ends), None)
    if day is None:
        return None
    hard = day.opens.astimezone(UTC) + timedelta(seconds=second - day.starts + harden_s)
    return next((day.date for day in problem.days if day.closes > hard), None)


def frame_backlog(problem: Problem, item: int) -> np.ndarray:
    """[day][new frames done in time]: weighted pairs due by that day and not there."""
    begins, days = problem.days[0].date, calendar_days(problem)
    wants = [want for want in problem.wants if want.item == item]
    due = np.repeat([(want.due - begins).days for want in wants], [want.pairs for want in wants])
    weight = np.repeat([want.weight for want in wants], [want.pairs for want in wants])
    spare = [(earliest_day(problem, row), row.spare) for row in problem.started if row.item == item]
    counted = problem.items[item].counted
    table = np.zeros((days, len(counted)))
    for day in range(days):
        waits = np.concatenate([[0], np.cumsum(weight * (due <= day))])
        there = sum(pairs for on, pairs in spare if on is not None and (on - begins).days <= day)
        for frames, firsts in enumerate(counted):
            table[day, frames] = waits[-1] - waits[min(there + firsts, len(weight))]
    return table


def backlog_of(problem: Problem, items: Sequence[int], positions: int, unit_s: int) -> np.ndarray:
    """[day][work of a vat with so many positions, in units]: cost of the cheapest backlog of these items on that day.

    A knapsack: frames of each item, none or more, whose work fits.
    """
    tables = {item: frame_backlog(problem, item) for item in items}
    work, most = {}, {}
    for item, table in tables.items():
        stage = problem.items[item].stages[-1]
        work[item] = max(1, (stage.dips + REHANG_TURNS) * stage.turn_s // unit_s)
        most[item] = int(np.argmin(table[-1]))  # more frames than that bring nothing
    room = sum(most[item] * work[item] for item in items)
    best = np.zeros((calendar_days(problem), room + 1))
    for item, table in tables.items():
        with_item = np.full_like(best, FAR)
        for frames in range(most[item] + 1):
            taken = frames * work[item]
            lower = best[:, : room + 1 - taken] + table[:, frames : frames + 1]
            np.minimum(with_item[:, taken:], lower, out=with_item[:, taken:])
        best = with_item
    best = np.minimum.accumulate(best, axis=1)
    vat_units = np.minimum(np.arange(-(-room // positions) + 1) * positions, room)
    return LATE * best[:, vat_units]
