"""A block of colour where a vat hangs empty: nothing that is planned moves by it. No Django."""

from collections.abc import Iterator
from datetime import date

from production.dip_plan.problem import REHANG_TURNS
from production.dip_plan.room import Room

MOST_BLOCKS = 12  # empty stretches of vats looked at for one row
Block = tuple[int, int]  # vat, half-day


def with_blocks(room: Room, item: int, before: date | None) -> Iterator[tuple[Block, Room]]:
    """The room with a block of the item's colour in a stretch in which a vat hangs empty, earliest first.

    Only blocks that begin before the day `before`. A candle of two baths gets none: it waits for the plan that brings
    both.
    """
    problem, candle = room.problem, room.problem.items[item]
    if len({stage.bath for stage in candle.stages}) > 1:
        return
    stage, found = candle.stages[0], 0
    least_s = (stage.dips + REHANG_TURNS) * max(stage.turn_s, stage.dip_s)
    for first, vat, until in sorted(_stretches(room, item, stage.bath)):
        if found == MOST_BLOCKS or (before and problem.days[problem.halves[first].day].date >= before):
            return
        last = _with_way_back(room, vat, (first, until), stage.bath)
        held = problem.vats[vat].bath if first == 0 else room.baths[vat][first - 1]
        starts = max(room.now, problem.halves[first].starts + problem.change_s[held][stage.bath])
        if last < first or held == stage.bath or starts + least_s > problem.halves[last].ends:
            continue
        if before and problem.days[room.hours.day_at(starts + least_s - 1)].date >= before:
            continue
        other = room.copy()
        other.recolour(vat, first, last, stage.bath)
        yield (vat, first), other
        found += 1


def _stretches(room: Room, item: int, bath: int) -> Iterator[tuple[int, int, int]]:
    """(first half-day, vat, last one) in which nothing hangs over a vat that may hold the bath and covers it."""
    problem = room.problem
    first_free = max(room.hours.half_at(room.now), problem.frozen.halves if problem.frozen else 0, 0)
    pinned = {(pin.vat, pin.half) for pin in problem.vat_pins}
    for vat, over in enumerate(problem.vats):
        if bath not in over.may_hold or over.depth_mm < problem.items[item].length_mm:
            continue
        busy = room.vats[vat].busy
        first = None
        for half in range(first_free, len(problem.halves) + 1):
            free = half < len(problem.halves) and half not in busy and (vat, half) not in pinned
            if free and first is None:
                first = half
            elif not free and first is not None:
                yield first, vat, half - 1
                first = None


def _with_way_back(room: Room, vat: int, stretch: tuple[int, int], bath: int) -> int:
    """The last half-day of a block that leaves time to change over to what is hung there next."""
    problem, row, (first, last) = room.problem, room.baths[vat], stretch
    if last + 1 == len(problem.halves) or row[last + 1] == bath:
        return last
    ends = problem.halves[last].ends
    after = (starts for spans in room.vats[vat].positions for starts, _ in spans if starts >= ends)
    hangs = min(after, default=problem.horizon)
    # Changed over at the start of the half-day after the block, which then already holds what comes next.
    while last >= first and problem.halves[last].ends + problem.change_s[bath][row[last + 1]] > hangs:
        last -= 1
    return last
