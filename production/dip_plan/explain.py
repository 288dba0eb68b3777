"""A plan in plain words: why a frame hangs there, what makes a line late, how near the best it is. No Django.

Every sentence is read off the simulated plan, not off how it was found.
"""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date

from inventory.words import per_cent
from production.dip_plan.clock import half_of
from production.dip_plan.late_words import Lateness
from production.dip_plan.plan import Plan
from production.dip_plan.problem import LATE, MINUTE, OVER, Problem
from production.dip_plan.troubles import half_words


@dataclass(frozen=True)
class BathRun:
    """Half-days `first` to before `end` in which a vat holds one bath; `lost` minutes of change-over before it."""

    vat: int
    bath: int
    first: int
    end: int
    lost: int
    frames: int  # hung in it


def vat_runs(problem: Problem, plan: Plan) -> list[BathRun]:
    """What each vat holds after what, in order, with the minutes each change takes."""
    found = []
    for vat, row in enumerate(plan.baths):
        first, before = 0, problem.vats[vat].bath
        for half in range(1, len(row) + 1):
            if half < len(row) and row[half] == row[first]:
                continue
            lost = problem.change_s[before][row[first]] // 60
            hung = [
                each for each in plan.hangings if each.vat == vat and first <= half_of(problem, each.starts) < half
            ]
            found.append(BathRun(vat, row[first], first, half, lost, len(hung)))
            first, before = half, row[first]
    return found


def why_frames(problem: Problem, plan: Plan) -> dict[int, str]:
    """By frame of the plan, why it hangs there: how long its vat holds the bath, and the date it is for."""
    dues = defaultdict(list)
    for fill in plan.fills:
        dues[fill.frame].append(problem.wants[fill.want].due)
    ends = {(run.vat, half): run for run in vat_runs(problem, plan) for half in range(run.first, run.end)}
    found = {}
    for row in sorted(plan.hangings, key=lambda row: (row.frame, row.stage)):
        if row.frame in found or not problem.halves:
            continue
        run = ends[row.vat, half_of(problem, row.starts)]
        words = [_held(problem, plan, run)]
        if row.started >= 0 and problem.started[row.started].vat >= 0:
            words = ["it hangs there already"]
        elif _is_pinned(problem, row):
            words.insert(0, "pinned")
        words.append(_meant(dues[row.frame]))
        sentence = "; ".join(words)
        found[row.frame] = sentence[:1].upper() + sentence[1:] + "."
    return found


def _held(problem: Problem, plan: Plan, run: BathRun) -> str:
    """ "ivory until Tue 1 Dec, afternoon, then red" """
    name = problem.baths[run.bath].name
    if run.end >= len(problem.halves):
        return f"{name} to the end of the plan"
    then = problem.baths[plan.baths[run.vat][run.end]].name
    return f"{name} before the vat goes to {then} {half_words(problem, run.end)}"


def _meant(dues: list[date]) -> str:
    return f"earliest date {day_words(min(dues))}" if dues else "for no line: more than what is wanted"


def _is_pinned(problem: Problem, row) -> bool:
    half = half_of(problem, row.starts)
    return row.started < 0 and any(
        (pin.item, pin.vat, pin.half) == (row.item, row.vat, half) and pin.position in (-1, row.position)
        for pin in problem.frame_pins
    )


def day_words(day: date) -> str:
    return f"{day.day} {day:%b}"


def why_late(problem: Problem, plan: Plan) -> dict[int, str]:
    """By late want, a sentence with the one limit that binds: no vat in the bath, positions full, too long a dip,
    change-over, hands, wax, or another line of an order that goes out whole."""
    lateness = Lateness(problem, plan)
    return {row.want: lateness.why(row.want) for row in plan.wants if row.late > 0}


def bound_words(plan: Plan) -> list[str]:
    """How near the plan is to the best there can be, a sentence each; and that the clock cut the search, where it
    did."""
    words = []
    if plan.bound is None or plan.bound.total is None:
        words.append("No useful bound is known, so how much better a plan could be is not known either.")
    else:
        cost, least = plan.cost.total, plan.bound.total
        below = f", {per_cent(1 - least / cost)} less" if least < cost else ""
        words.append(
            f"No plan costs less than {least:,}{below}; this one costs {cost:,}: {LATE} for each late pair-day by "
            f"rank, {MINUTE} for a minute of change-over, {OVER} for a frame too many. {plan.bound.how}".strip()
        )
    if plan.cut:
        words.append("The clock cut the search short: the same effort may find another plan.")
    return words
