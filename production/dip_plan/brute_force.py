"""Every schedule of a tiny floor, one after the other: slow, and beyond doubt. No Django.

For floors whose turns are all alike and divide every opening, half-day and change-over: there hanging earlier is never
worse, so hanging on whole turns leaves out nothing. Wants are served pair by pair as problem.py has it.
"""

from collections.abc import Iterator
from functools import cache
from itertools import pairwise, product

from production.dip_plan.check_supply import clock_at_end, harder, never, ready_day
from production.dip_plan.half_days import turn_of
from production.dip_plan.problem import LATE, MINUTE, OVER, REHANG_TURNS, Problem

MOST_TABLES = 5_000


def cheapest(problem: Problem) -> int:
    """The least cost of any schedule. ValueError where turns differ, frames hang already, or much is to be tried."""
    turn = turn_of(problem)
    if turn is None or problem.started:
        raise ValueError("only floors of equal turns that begin empty are tried out one by one")
    rows = list(product(range(len(problem.baths)), repeat=len(problem.halves)))
    if len(rows) ** len(problem.vats) > MOST_TABLES:
        raise ValueError("there are too many tables of baths to try them all")
    by_vat = [
        [(row, outcomes(problem, vat, row, turn)) for row in rows if _allowed(problem, vat, row)]
        for vat in range(len(problem.vats))
    ]
    best = None
    for chosen in product(*by_vat):
        minutes = sum(_seconds(problem, vat, row) for vat, (row, _) in enumerate(chosen)) // 60
        if best is not None and minutes * MINUTE >= best:
            continue
        for parts in product(*(found for _, found in chosen)):
            frames = tuple(sorted(frame for part in parts for frame in part))
            if _within_limits(problem, frames):
                cost = MINUTE * minutes + cost_of_frames(problem, tuple((item, day) for item, day, _ in frames))
                best = cost if best is None else min(best, cost)
    return best


def _allowed(problem: Problem, vat: int, row: tuple[int, ...]) -> bool:
    before = (problem.vats[vat].bath, *row)
    return all(bath == was or bath in problem.vats[vat].may_hold for was, bath in zip(before, row, strict=False))


def _seconds(problem: Problem, vat: int, row: tuple[int, ...]) -> int:
    before = (problem.vats[vat].bath, *row)
    return sum(problem.change_s[was][bath] for was, bath in zip(before, row, strict=False) if was != bath)


def _within_limits(problem: Problem, frames: tuple) -> bool:
    threads_kept = all(
        sum(half == at for _, _, half in frames) <= threads for at, threads in enumerate(problem.threads)
    )
    used = [0] * len(problem.wax_g)
    for item, _, _ in frames:
        wax = problem.baths[problem.items[item].stages[-1].bath].wax
        if wax < len(used):
            used[wax] += problem.items[item].wax_g
    return threads_kept and all(have is None or grams <= have for grams, have in zip(used, problem.wax_g, strict=True))


def outcomes(problem: Problem, vat: int, row: tuple[int, ...], turn: int) -> set[tuple]:
    """What can come of one vat with these baths: sets of frames as (item, place of the day they are there, half-day in
    which they are hung). Every choice of what to hang at every turn is followed."""
    turns = problem.horizon // turn
    half_of = [next(at for at, half in enumerate(problem.halves) if now * turn < half.ends) for now in range(turns)]
    free_from = _free_turns(problem, vat, row, turn)
    leaves = [_leaves(problem, row, half_of[now]) // turn for now in range(turns)]

    @cache
    def after(now: int, hanging: tuple[int, ...]) -> frozenset:
        """`hanging`: turns left of what hangs at the start of this turn."""
        if now == turns:
            return frozenset({()})
        found = set()
        for hung in _choices(problem, vat, row[half_of[now]], len(hanging), leaves[now] - now, free_from[now]):
            new = tuple(turns_of(problem, item) for item in hung)
            left = tuple(sorted(more - 1 for more in (*hanging, *new) if more > 1))
            ends = [(now + turns_of(problem, item)) * turn for item in hung]
            mine = [(item, _there(problem, item, end), half_of[now]) for item, end in zip(hung, ends, strict=True)]
            found |= {tuple(sorted((*mine, *later))) for later in after(now + 1, left)}
        return frozenset(found)

    return after(0, ())


def turns_of(problem: Problem, item: int) -> int:
    return problem.items[item].stages[0].dips + REHANG_TURNS


def _there(problem: Problem, item: int, ends: int) -> int:
    """Place of the day in `days`; one past the last where there is none."""
    day = ready_day(problem, harder(clock_at_end(problem, ends), problem.items[item].harden_s))
    return next((at for at, one in enumerate(problem.days) if one.date == day), len(problem.days))


def _free_turns(problem: Problem, vat: int, row: tuple[int, ...], turn: int) -> list[bool]:
    """Turns in which nothing is being changed over."""
    free = [True] * (problem.horizon // turn)
    was = problem.vats[vat].bath
    for half, bath in zip(problem.halves, row, strict=True):
        for now in range(half.starts // turn, min(len(free), (half.starts + problem.change_s[was][bath]) // turn)):
            free[now] = free[now] and was == bath
        was = bath
    return free


def _leaves(problem: Problem, row: tuple[int, ...], half: int) -> int:
    """The second at which the bath of that half-day leaves the vat."""
    later = half
    while later + 1 < len(row) and row[later + 1] == row[half]:
        later += 1
    return problem.halves[later].ends


def _choices(problem: Problem, vat: int, bath: int, hanging: int, turns: int, free: bool) -> Iterator[tuple[int, ...]]:
    """What may be hung now: nothing, or frames of this bath that are done before it leaves, on free positions."""
    fitting = [
        at
        for at, item in enumerate(problem.items)
        if item.stages[0].bath == bath
        and item.length_mm <= problem.vats[vat].depth_mm
        and turns_of(problem, at) <= turns
        and item.most_frames
    ]
    yield ()
    grown = [()]
    for _ in range(problem.vats[vat].positions - hanging if free else 0):
        grown = [(*some, item) for some in grown for item in fitting if not some or item >= some[-1]]
        yield from grown


def cost_of_frames(problem: Problem, frames: tuple[tuple[int, int], ...]) -> int:
    """Lateness and frames over of frames as (item, place of the day they are there), pair by pair."""
    late = over = 0
    for at, item in enumerate(problem.items):
        days = sorted(day for frame, day in frames if frame == at)
        more = [after - before for before, after in pairwise(item.counted)]
        there = [day for day, firsts in zip(days, more, strict=False) for _ in range(firsts)]
        for want in (want for want in problem.wants if want.item == at):
            for _ in range(want.pairs):
                day = there.pop(0) if there else len(problem.days)
                on = problem.days[day].date if day < len(problem.days) else never(problem)
                late += want.weight * max(0, (on - want.due).days)
        asked = sum(want.pairs for want in problem.wants if want.item == at)
        fewest = next((n for n, firsts in enumerate(item.counted) if firsts >= asked), item.most_frames)
        over += max(0, len(days) - fewest)
    return LATE * late + OVER * over
