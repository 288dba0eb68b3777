"""Second reading of the rules: every turn of every vat, walked through from what hangs. No Django."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from production.dip_plan.check_pins import hung_before
from production.dip_plan.plan import Hanging, Plan
from production.dip_plan.problem import REHANG_TURNS, Problem, Stage


@dataclass
class _Hung:
    """A frame over a vat while its turns are walked through. `idle`: turns it hangs undipped; then `left` dips."""

    row: Hanging
    stage: Stage
    idle: int
    left: int
    first: int = -1


def turn_faults(problem: Problem, plan: Plan) -> list[str]:
    """First and last dips that are not where the turns put them, and nights miscounted."""
    found = []
    by_vat = defaultdict(list)
    for row in plan.hangings:
        by_vat[row.vat].append(row)
        nights = sum(row.starts < day.ends < row.ends for day in problem.days)
        if nights != row.nights:
            found.append(f"frame {row.frame}: hangs through {nights} closing times, not {row.nights}")
    for rows in by_vat.values():
        found += _walk(problem, sorted(rows, key=lambda row: row.starts))
    return found


def _walk(problem: Problem, waiting: list[Hanging]) -> Iterator[str]:
    """One vat from its first frame to its last: turns follow one another for as long as anything hangs."""
    hung, now = [], 0
    while waiting or hung:
        if not hung:
            now = max(now, waiting[0].starts)
        new = _take(problem, waiting, now)
        length = _turn_s([*hung, *new])
        day = next((day for day in problem.days if day.starts <= now < day.ends), None)
        if day is not None and now + length > day.ends:
            now = day.ends  # which is the first second of the next working day
            day = next((day for day in problem.days if day.starts == now), None)
            new += _take(problem, waiting, now)
            length = _turn_s([*hung, *new])
        if day is None or now + length > day.ends:
            yield f"frame {[*hung, *new][0].row.frame}: no day is left, or none long enough, for its next turn"
            return
        for one in new:
            if one.row.starts != now and not hung_before(problem, one.row):
                yield f"frame {one.row.frame}: hung at {one.row.starts}, the turn begins at {now}"
        hung += new
        yield from _dip(hung, now, now + length)
        hung = [one for one in hung if one.left]
        now += length


def _take(problem: Problem, waiting: list[Hanging], now: int) -> list[_Hung]:
    """Takes out of `waiting` what is hung by now."""
    taken = []
    while waiting and waiting[0].starts <= now:
        row = waiting.pop(0)
        whose = problem.started[row.started] if row.started >= 0 else problem.items[row.item]
        stage = whose.stages[row.stage]
        taken.append(_Hung(row, stage, 0 if hung_before(problem, row) else REHANG_TURNS, stage.dips))
    return taken


def _turn_s(hung: list[_Hung]) -> int:
    return max(*(one.stage.turn_s for one in hung), sum(one.stage.dip_s for one in hung))


def _dip(hung: list[_Hung], begins: int, ends: int) -> Iterator[str]:
    for one in hung:
        if one.idle:
            one.idle -= 1
            continue
        if one.first < 0:
            one.first = begins
            if one.row.first != begins:
                yield f"frame {one.row.frame}: first dip at {one.row.first}, its turn begins at {begins}"
        one.left -= 1
        if not one.left and one.row.ends != ends:
            yield f"frame {one.row.frame}: last dip done at {one.row.ends}, its last turn ends at {ends}"
