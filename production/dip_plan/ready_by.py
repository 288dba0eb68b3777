"""When could these pairs be there? The earliest day, without making any promised line later. No Django.

Three things are tried, cheapest first, and the earliest day wins: what the plan makes anyway and nobody needs by then;
frames more where the plan leaves room (room.py, nothing planned moves by a second); and a block of the colour where a
vat hangs empty (blocks.py). Whether somebody would come to be later is asked line by line (shares.py), never candle by
candle.

`asking` opens a plan for questions; `answer` puts one row to it and gives the answer with the plan as it would be
then, so that the next row of the same order finds its room taken. Neither changes what it is given.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date

from production.dip_plan.asking import Asking, asking, counted, ready, supplies
from production.dip_plan.binds import Found, day_in_words, words_of
from production.dip_plan.blocks import Block, with_blocks
from production.dip_plan.plan import Hanging, Plan
from production.dip_plan.problem import REHANG_TURNS, Problem
from production.dip_plan.room import Room
from production.dip_plan.shares import STOCK, Demand, Share, earliest_share

MOST_FRAMES = 60  # hung for one row: 60 frames of 48 are 2,880 pairs


@dataclass(frozen=True)
class Answer:
    """`day` None: not within the plan. `parts`: pairs by source. `chance`: 0 to 1, of enough firsts; None if unknown.

    `binds` says why not earlier; `block` what would have to be changed in the plan for it, "" for nothing.
    """

    item: int
    pairs: int
    day: date | None
    parts: Mapping[str, int] = field(default_factory=dict)
    frames: int = 0  # to be hung for it beyond the plan's
    chance: float | None = None
    binds: str = ""
    block: str = ""


@dataclass(frozen=True)
class _Way:
    """One way to fill a row. `first`: the first frame hung for it."""

    day: date
    share: Share
    room: Room
    frames: int
    block: Block | None = None


def answer(state: Asking, item: int, pairs: int) -> tuple[Answer, Asking]:
    """The earliest day `pairs` of the item can be there, and the plan as it would be with them.

    ValueError for fewer than one pair.
    """
    if pairs < 1:
        raise ValueError(f"asked are 1 pair or more, not {pairs}")
    if not state.problem.halves:
        return Answer(item, pairs, None, binds="no working hours are set up"), state
    way, soonest = _fill(state, item, pairs, state.room), _soonest(state, item)
    if way is None or (soonest and way.day > soonest):
        for block, room in with_blocks(state.room, item, way.day if way else None):
            if other := _fill(state, item, pairs, room, before=way.day if way else date.max):
                way = replace(other, block=block)
    if way is None:
        most = counted(state.problem.items[item], MOST_FRAMES)
        words = f"more than {MOST_FRAMES} frames of it: try it with the dip plan, what if"
        binds = words if pairs > most > 0 else words_of(state.problem, state.room, item, None)
        return Answer(item, pairs, None, binds=binds), state
    return _answer(state, item, pairs, way), _taken(state, item, pairs, way)


def _fill(state: Asking, item: int, pairs: int, room: Room, *, before: date | None = None) -> _Way | None:
    """The earliest day (before `before`, if given) with frames more in that room, and no more than it takes."""
    demands, shares = state.demands.get(item, ()), state.before.get(item, ())

    def look(room: Room, frames: int) -> _Way | None:
        found = earliest_share(supplies(state, item, room), demands, shares, pairs, state.never)
        return _Way(found[0], found[1], room, frames) if found else None

    best = look(room, 0) if before is None else None
    for frames in range(1, MOST_FRAMES + 1):
        room = room.copy()
        rows = room.hang(item)
        when = ready(state.problem, rows[-1]) if rows else None
        soonest = best.day if best else before
        if when is None or (soonest and when[1] >= soonest):
            break
        way = look(room, frames)
        if way and (soonest is None or way.day < soonest):
            best = way
    return best


def _soonest(state: Asking, item: int) -> date | None:
    """The day no frame hung from now on can beat: no change-over, a free position, hands."""
    problem, candle = state.problem, state.problem.items[item]
    work = sum((stage.dips + REHANG_TURNS) * max(stage.turn_s, stage.dip_s) for stage in candle.stages)
    ends = min(state.room.now + work, problem.days[-1].ends)
    row = Hanging(-1, item, -1, 0, 0, 0, state.room.now, state.room.now, max(1, ends), 0, 0)
    when = ready(problem, row)
    return when[1] if when else None


def _taken(state: Asking, item: int, pairs: int, way: _Way) -> Asking:
    """The plan as it is once the row is promised: its room is taken, and it is a demand like the others."""
    rows = [*state.demands.get(item, ()), Demand(pairs, way.day, "this order")]
    rows.sort(key=lambda row: row.due)
    return replace(state, room=way.room).with_demands({item: rows})


def _answer(state: Asking, item: int, pairs: int, way: _Way) -> Answer:
    problem, parts = state.problem, {}
    for supply, count in way.share.taken:
        parts[supply.source] = parts.get(supply.source, 0) + count
    last = way.share.taken[-1][0]
    hung = next((row for row in way.room.added if row.frame == last.frame), None)
    found = Found(last, hung, way.block)
    block = ""
    if way.block:
        vat, half = way.block
        name = problem.baths[problem.items[item].stages[0].bath].name
        on = problem.days[problem.halves[half].day].date
        block = f"{problem.vats[vat].name} changed to {name} on {day_in_words(on)}"
    binds = words_of(problem, state.room, item, found)
    return Answer(item, pairs, way.day, parts, way.frames, _chance(state, item, pairs, way), binds, block)


def _chance(state: Asking, item: int, pairs: int, way: _Way) -> float | None:
    """Of enough firsts in the frames drawn on, for everybody they are counted on for up to these pairs."""
    frames = {supply.frame: supply for supply, _ in way.share.taken if supply.source != STOCK}
    if not frames:
        return 1.0
    if state.chance is None:
        return None
    mine = sum(count for supply, count in way.share.taken if supply.source != STOCK)
    others = sum(
        count
        for share in state.before.get(item, ())
        for supply, count in share.taken
        if supply.frame in frames and supply.source != STOCK
    )
    most = sum(supply.pairs for supply in frames.values())
    return state.chance(item, len(frames) * state.problem.items[item].pairs, min(most, mine + others))


def earliest(
    problem: Problem, plan: Plan, asked: list[tuple[int, int]], **options
) -> tuple[list[Answer], date | None]:
    """Each row (item, pairs) answered in turn, and the day all of them can be there. Options as `asking` has them."""
    state, answers = asking(problem, plan, **options), []
    for item, pairs in asked:
        found, state = answer(state, item, pairs)
        answers.append(found)
    days = [found.day for found in answers]
    return answers, None if None in days else max(days, default=None)
