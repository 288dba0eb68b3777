"""Is this a plan? A second reading of the rules in problem.py, from scratch. No Django.

Shares no line with the simulation: it takes a finished plan apart and asks of every row whether the rules allow it.
`faults` returns one sentence a fault, none where the plan holds. Four chapters: what hangs where (here), when it is
dipped (check_turns.py), and what the wants get and what it costs (check_supply.py).
"""

from collections import Counter, defaultdict
from collections.abc import Iterator
from itertools import pairwise

from production.dip_plan.check_supply import supply_faults
from production.dip_plan.check_turns import turn_faults
from production.dip_plan.plan import Hanging, Plan
from production.dip_plan.problem import Problem, Stage

MOST = 200  # a plan made of nothing but faults is described well enough by so many


def faults(problem: Problem, plan: Plan) -> list[str]:
    """Every breach of the floor's rules and every figure that does not add up, in words; at most MOST of them."""
    found = list(_bath_faults(problem, plan))
    found += _place_faults(problem, plan)
    if found:
        return found[:MOST]  # what follows looks up vats, items and baths by their places
    found += _stage_faults(problem, plan)
    found += _frame_faults(problem, plan)
    found += _room_faults(problem, plan)
    found += _bath_under_frame_faults(problem, plan)
    found += _thread_faults(problem, plan)
    found += _wax_faults(problem, plan)
    found += _pin_faults(problem, plan)
    found += _frozen_faults(problem, plan)
    found += turn_faults(problem, plan)
    found += supply_faults(problem, plan)
    return found[:MOST]


def half_at(problem: Problem, second: int) -> int:
    """The half-day a second of work lies in; -1 for none."""
    for place, half in enumerate(problem.halves):
        if half.starts <= second < half.ends:
            return place
    return -1


def by_frame(plan: Plan) -> dict[int, list[Hanging]]:
    frames = defaultdict(list)
    for hanging in plan.hangings:
        frames[hanging.frame].append(hanging)
    return {frame: sorted(rows, key=lambda row: row.stage) for frame, rows in frames.items()}


def stages_of(problem: Problem, hanging: Hanging) -> tuple[Stage, ...]:
    if hanging.started >= 0:
        return problem.started[hanging.started].stages
    return problem.items[hanging.item].stages


def _bath_faults(problem: Problem, plan: Plan) -> Iterator[str]:
    if len(plan.baths) != len(problem.vats) or any(len(row) != len(problem.halves) for row in plan.baths):
        yield "the table of baths is not vats by half-days"
        return
    for vat, row in zip(problem.vats, plan.baths, strict=True):
        before = vat.bath
        for half, bath in enumerate(row):
            if not 0 <= bath < len(problem.baths):
                yield f"{vat.name}, half-day {half}: there is no bath {bath}"
            elif bath != before and bath not in vat.may_hold:
                yield f"{vat.name}, half-day {half}: may not hold {problem.baths[bath].name}"
            before = bath


def _place_faults(problem: Problem, plan: Plan) -> Iterator[str]:
    for hanging in plan.hangings:
        name = f"frame {hanging.frame}"
        if not 0 <= hanging.vat < len(problem.vats):
            yield f"{name}: there is no vat {hanging.vat}"
            continue
        vat = problem.vats[hanging.vat]
        if not 0 <= hanging.item < len(problem.items):
            yield f"{name}: there is no item {hanging.item}"
            continue
        if not -1 <= hanging.started < len(problem.started):
            yield f"{name}: no frame {hanging.started} was started before"
            continue
        if not 0 <= hanging.position < vat.positions:
            yield f"{name}: {vat.name} has no position {hanging.position}"
        if not 0 <= hanging.stage < len(stages_of(problem, hanging)):
            yield f"{name}: its candle has no stage {hanging.stage}"
        if not 0 <= hanging.starts <= hanging.first < hanging.ends <= problem.horizon:
            span = f"hung at {hanging.starts}, dipped from {hanging.first} to {hanging.ends}"
            yield f"{name}: {span}, is no span of the plan"


def _stage_faults(problem: Problem, plan: Plan) -> Iterator[str]:
    for frame, rows in by_frame(plan).items():
        first = rows[0]
        stages = stages_of(problem, first)
        if {(row.item, row.started) for row in rows} != {(first.item, first.started)}:
            yield f"frame {frame}: its hangings tell of different frames"
            continue
        if [row.stage for row in rows] != list(range(len(stages))):
            yield f"frame {frame}: hangs for stages {[row.stage for row in rows]}, its candle has {len(stages)}"
        for row, after in pairwise(rows):
            if after.starts < row.ends:
                yield f"frame {frame}: stage {after.stage} begins before stage {row.stage} is done"
        for row in rows:
            if row.dips != stages[row.stage].dips:
                yield f"frame {frame}: {row.dips} dips where stage {row.stage} has {stages[row.stage].dips}"
            if problem.vats[row.vat].depth_mm < problem.items[row.item].length_mm:
                yield f"frame {frame}: {problem.vats[row.vat].name} does not cover {problem.items[row.item].name}"


def _frame_faults(problem: Problem, plan: Plan) -> Iterator[str]:
    """Every started frame once and where it hangs; of a candle no more new frames than firsts were counted on."""
    used, hung = Counter(), Counter()
    for frame, rows in by_frame(plan).items():
        if rows[0].started < 0:
            hung[rows[0].item] += 1
        else:
            used[rows[0].started] += 1
            yield from _started_faults(problem, frame, rows[0])
    yield from (f"started frame {place} hangs as {times} frames" for place, times in used.items() if times > 1)
    for item, frames in hung.items():
        if frames > problem.items[item].most_frames:
            yield f"{problem.items[item].name}: {frames} frames, nobody counted firsts on so many"
    for place, started in enumerate(problem.started):
        if started.vat >= 0 and started.hard_s < 0 and started.stages and not used[place]:
            yield f"{started.code} hangs over a vat and is not in the plan"


def _started_faults(problem: Problem, frame: int, first: Hanging) -> Iterator[str]:
    started = problem.started[first.started]
    if first.item != started.item:
        yield f"frame {frame}: {started.code} is another candle"
    if started.hard_s >= 0:
        yield f"frame {frame}: {started.code} is off the carousel already"
    if started.vat >= 0 and (first.vat, first.position, first.starts) != (started.vat, started.position, 0):
        yield f"frame {frame}: {started.code} hangs elsewhere already"


def _room_faults(problem: Problem, plan: Plan) -> Iterator[str]:
    """One frame a position at a time."""
    places = defaultdict(list)
    for row in plan.hangings:
        places[row.vat, row.position].append(row)
    for (vat, position), rows in places.items():
        rows.sort(key=lambda row: (row.starts, row.ends))
        for row, after in pairwise(rows):
            if after.starts < row.ends:
                yield f"{problem.vats[vat].name}, position {position}: frames {row.frame} and {after.frame} at once"


def _bath_under_frame_faults(problem: Problem, plan: Plan) -> Iterator[str]:
    """The right bath from the hour it is hung to the last dip, and nothing hangs through a change-over."""
    for row in plan.hangings:
        vat, baths = problem.vats[row.vat], plan.baths[row.vat]
        wanted = stages_of(problem, row)[row.stage].bath
        for place, half in enumerate(problem.halves):
            if half.ends <= row.starts or half.starts >= row.ends:
                continue
            if baths[place] != wanted:
                yield f"frame {row.frame}: {vat.name} does not hold its bath in half-day {place}"
        for place, half in enumerate(problem.halves):
            before = vat.bath if place == 0 else baths[place - 1]
            if before == baths[place]:
                continue
            ready = half.starts + problem.change_s[before][baths[place]]
            if row.starts < ready and row.ends > half.starts:
                yield f"frame {row.frame}: hangs while {vat.name} is changed over in half-day {place}"


def _thread_faults(problem: Problem, plan: Plan) -> Iterator[str]:
    threaded = Counter(half_at(problem, row.starts) for row in plan.hangings if row.started < 0 and row.stage == 0)
    for half, frames in threaded.items():
        if half >= 0 and frames > problem.threads[half]:
            yield f"half-day {half}: {frames} new frames, {problem.threads[half]} can be threaded"


def _wax_faults(problem: Problem, plan: Plan) -> Iterator[str]:
    """A frame's grams are taken from the wax of its candle's last bath."""
    taken = Counter()
    for row in plan.hangings:
        if row.started < 0 and row.stage == 0:
            item = problem.items[row.item]
            taken[problem.baths[item.stages[-1].bath].wax] += item.wax_g
    for wax, grams in taken.items():
        in_hand = problem.wax_g[wax] if wax < len(problem.wax_g) else None
        if in_hand is not None and grams > in_hand:
            yield f"wax {wax}: the new frames take {grams} g, {in_hand} g are in hand"


def _pin_faults(problem: Problem, plan: Plan) -> Iterator[str]:
    for pin in problem.vat_pins:
        if plan.baths[pin.vat][pin.half] != pin.bath:
            yield f"{problem.vats[pin.vat].name} is pinned to {problem.baths[pin.bath].name} in half-day {pin.half}"
    unused = [row for row in plan.hangings if row.started < 0 and row.stage == 0]
    # The stricter pins choose first, so that a pin to anywhere does not take the frame of a pin to a position.
    for pin in sorted(problem.frame_pins, key=lambda pin: pin.position < 0):
        for row in unused:
            there = (row.item, row.vat, half_at(problem, row.starts)) == (pin.item, pin.vat, pin.half)
            if there and pin.position in (-1, row.position):
                unused.remove(row)
                break
        else:
            name = problem.items[pin.item].name
            yield f"a frame of {name} is pinned over {problem.vats[pin.vat].name} in half-day {pin.half}"


def _frozen_faults(problem: Problem, plan: Plan) -> Iterator[str]:
    frozen = problem.frozen
    if frozen is None:
        return
    for vat, row in enumerate(frozen.baths):
        if tuple(row[: frozen.halves]) != tuple(plan.baths[vat][: frozen.halves]):
            yield f"{problem.vats[vat].name}: its frozen half-days hold other baths"
    until = problem.halves[frozen.halves - 1].ends if frozen.halves else 0
    kept = Counter(
        (row.item, row.vat, row.position, row.starts)
        for row in plan.hangings
        if row.started < 0 and row.stage == 0 and row.starts < until
    )
    if kept != Counter(frozen.hang):
        yield "the frozen half-days hang other frames"
