"""Why not earlier: the one limit that binds, in words. No Django."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from production.dip_plan.plan import Hanging
from production.dip_plan.problem import Problem, Stage
from production.dip_plan.room import Room, Run
from production.dip_plan.shares import FLOOR, PLAN, STOCK, Supply


@dataclass(frozen=True)
class Found:
    """What the last pair comes from: `hung`, a frame found room for; `block`, a vat changed over for it."""

    last: Supply
    hung: Hanging | None = None
    block: tuple[int, int] | None = None


def words_of(problem: Problem, room: Room, item: int, found: Found | None) -> str:
    """ "no vat in ivory until Tuesday 1 Dec"; "" where all of it lies there. `room` as it was before it was asked."""
    if found is None:
        return _never(problem, room, item)
    if found.last.source == STOCK:
        return ""
    if found.last.source in (FLOOR, PLAN):
        frame = "that is on the floor already" if found.last.source == FLOOR else "the plan hangs anyway"
        return f"waits for a frame {frame}, ready {day_in_words(found.last.ready)}"
    return _of_new_frame(problem, room, item, found)


def _of_new_frame(problem: Problem, room: Room, item: int, found: Found) -> str:
    stage, starts = problem.items[item].stages[0], found.hung.starts
    first = next(_runs(problem, room, item, stage), None)
    name, on = problem.baths[stage.bath].name, _day_of(problem, starts)
    if found.block or first is None or first.starts >= starts:
        late = found.block or on > problem.days[0].date
        return f"no vat in {name} until {day_in_words(on)}" if late else _length(problem, item)
    if starts <= max(first.starts, room.now) + stage.turn_s:
        return _length(problem, item)
    if _no_hands(room, max(first.starts, room.now), starts):
        return f"no hands left to thread it before {day_in_words(on)}"
    return f"every position over {name} is taken until {day_in_words(on)}"


def _never(problem: Problem, room: Room, item: int) -> str:
    candle = problem.items[item]
    for stage in candle.stages:
        name = problem.baths[stage.bath].name
        holds = [vat for vat in problem.vats if stage.bath in vat.may_hold or stage.bath == vat.bath]
        if not holds:
            return f"no vat may hold {name}"
        if all(vat.depth_mm < candle.length_mm for vat in holds):
            return f"no vat that may hold {name} covers a candle of {candle.length_mm} mm"
    if not room.has_wax(candle):
        return "the wax in hand is spoken for"
    if candle.most_frames == 0 or candle.counted[-1] == 0:
        return "no firsts are counted on from its frames"
    last = problem.days[problem.halves[-1].day].date
    if next(_runs(problem, room, item, candle.stages[0]), None) is None:
        return f"no vat in {problem.baths[candle.stages[0].bath].name} up to {day_in_words(last)}, where the plan ends"
    return f"not enough room up to {day_in_words(last)}, where the plan ends"


def _runs(problem: Problem, room: Room, item: int, stage: Stage) -> Iterator[Run]:
    """Stretches of the stage's bath over which the candle could hang, the present one included."""
    for run in room.runs:
        deep = problem.vats[run.vat].depth_mm >= problem.items[item].length_mm
        if run.bath == stage.bath and run.ends > room.now and deep:
            yield run


def _no_hands(room: Room, begins: int, starts: int) -> bool:
    """Whether in every half-day before it was hung the hands were busy."""
    first, last = room.hours.half_at(begins), room.hours.half_at(starts)
    return 0 <= first < last and not any(free > 0 for free in room.hands[first:last])


def _length(problem: Problem, item: int) -> str:
    candle = problem.items[item]
    dips = sum(stage.dips for stage in candle.stages)
    hours = candle.harden_s // 3600
    return f"{dips} dips and {hours} hours to harden take so long"


def _day_of(problem: Problem, second: int) -> date:
    return next((day.date for day in problem.days if second < day.ends), problem.days[-1].date)


def day_in_words(when: date) -> str:
    """ "Tuesday 1 Dec" """
    return f"{when:%A} {when.day} {when:%b}"
