"""Is this a plan? A second reading of the rules in problem.py, from scratch. No Django.

Shares no line with the simulation: it takes a finished plan apart and asks of every row whether the rules allow it.
`faults` returns one sentence a fault, none where the plan holds. Four chapters: what hangs where (here), pins and
frozen half-days (check_pins.py), when it is dipped (check_turns.py), what the wants get and what it costs
(check_supply.py).
"""

from collections import Counter, defaultdict
from collections.abc import Iterator
from itertools import pairwise

from production.dip_plan.check_pins import half_at, hung_before, pin_faults
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
    found += pin_faults(problem, plan)
    found += turn_faults(problem, plan)
    found += supply_faults(problem, plan)
    return found[:MOST]


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
        latest = problem.days[-1].ends if hung_before(problem, hanging) else problem.horizon
        if not 0 <= hanging.starts <= hanging.first < hanging.ends <= latest:
            span = f"hung at {hanging.starts}, dipped from {hanging.first} to {hanging.ends}"
            yield f"{name}: {span}, is no span of the plan"


def _stage_faults(problem: Problem, plan: Plan) -> Iterator[str]:
    for frame, rows in by_frame(plan).items():
        first = rows[0]
        stages = stages_of(problem, first)
        if {(row.item, row.started) for row in rows} != {(first.item, first.started)}:
            yield f"frame {frame}: its hangings tell of different frames"
            continue
        if [row.stage for row in rows] != list(range(len(rows))):
            yield f"frame {frame}: hangs for stages {[row.stage for row in rows]}"
            continue
        for row, after in pairwise(rows):
            if after.starts < row.ends:
                yield f"frame {frame}: stage {after.stage} begins before stage {row.stage} is done"
        for row in rows:
            if row.dips != stages[row.stage].dips:
                yield f"frame {frame}: {row.dips} dips where stage {row.stage} has {stages[row.stage].dips}"
            if problem.vats[row.vat].depth_mm < problem.items[row.item].length_mm:
                yield f"frame {frame}: {problem.vats[row.vat].name} does not cover {problem.items[row.item].name}"


def _frame_faults(problem: Problem, plan: Plan) -> Iterator[str]:
    """Every started frame once at most, and where it hangs already."""
    used = Counter()
    for frame, rows in by_frame(plan).items():
        if rows[0].started >= 0:
            used[rows[0].started] += 1
            yield from _started_faults(problem, frame, rows[0])
    yield from (f"started frame {place} hangs as {times} frames" for place, times in used.items() if times > 1)
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
    """The right bath from the moment it is hung to the last dip, and nothing hangs through a change-over."""
    for row in plan.hangings:
        vat, baths = problem.vats[row.vat], plan.baths[row.vat]
        wanted = stages_of(problem, row)[row.stage].bath
        for place, half in enumerate(problem.halves):
            hangs = half.ends > row.starts and half.starts < row.ends
            if hangs and baths[place] != wanted:
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
