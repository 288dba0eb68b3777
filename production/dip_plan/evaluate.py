"""What every want gets of the frames that hang, and what a plan costs: pair by pair. No Django."""

from collections import Counter, defaultdict
from dataclasses import dataclass, field
from datetime import date, datetime

from production.dip_plan.clock import later, moment_done, ready_on, unfilled_date
from production.dip_plan.plan import Cost, Fill, Hanging, Ready, WantGets
from production.dip_plan.problem import LATE, MINUTE, OVER, Problem
from production.dip_plan.workable import frames_needed

Baths = tuple[tuple[int, ...], ...]


def evaluate(
    problem: Problem, baths: Baths, hangings: tuple[Hanging, ...]
) -> tuple[tuple[Ready, ...], tuple[Fill, ...], tuple[WantGets, ...], Cost]:
    """When every frame is ready, which wants it fills, what each want gets, and the cost of it all.

    Frames that were off before the plan began are numbered after those of `hangings`.
    """
    ready = ready_frames(problem, hangings)
    fills = share_out(problem, ready)
    wants = wants_get(problem, fills)
    late = sum(row.late for row in wants)
    minutes, over = change_minutes(problem, baths), frames_over(problem, hangings)
    return ready, fills, wants, Cost(late, minutes, over, LATE * late + MINUTE * minutes + OVER * over)


@dataclass
class _Off:
    frame: int
    item: int
    started: int
    off: datetime
    hard: datetime


def ready_frames(problem: Problem, hangings: tuple[Hanging, ...]) -> tuple[Ready, ...]:
    """Frames that had all their stages, in the order (hard, frame), with the firsts each one adds."""
    found, number, made = [], Counter(), max((row.frame for row in hangings), default=-1) + 1
    for row in hangings:
        stages = problem.started[row.started].stages if row.started >= 0 else problem.items[row.item].stages
        if row.stage == len(stages) - 1:
            off = moment_done(problem.days, row.ends)
            hard = later(off, problem.items[row.item].harden_s)
            found.append(_Off(row.frame, row.item, row.started, off, hard))
    for at, started in enumerate(problem.started):
        if started.hard_s >= 0 and problem.days:
            off = problem.days[0].opens
            found.append(_Off(made, started.item, at, off, later(off, started.hard_s)))
            made += 1
    rows = []
    for one in sorted(found, key=lambda one: (one.hard, one.frame)):
        day = ready_on(problem.days, one.hard)
        if day is not None:
            pairs = _adds(problem, one, number)
            rows.append(Ready(one.frame, one.item, one.started, one.off, one.hard, day, pairs))
    return tuple(rows)


def _adds(problem: Problem, one: _Off, number: Counter) -> int:
    if one.started >= 0:
        started = problem.started[one.started]
        return started.spare + sum(pairs for _, pairs in started.promised)
    counted = problem.items[one.item].counted
    before, most = number[one.item], len(counted) - 1
    number[one.item] += 1
    return counted[min(before + 1, most)] - counted[min(before, most)]


def share_out(problem: Problem, ready: tuple[Ready, ...]) -> tuple[Fill, ...]:
    """Pairs of each frame to wants: promised ones first, then to the item's wants in their order."""
    waiting, fills = defaultdict(list), []
    for at, want in enumerate(problem.wants):
        if want.pairs > 0:
            waiting[want.item].append([at, want.pairs])
    for row in sorted(ready, key=lambda row: (row.ready, row.hard, row.frame)):
        promised = Counter(dict(problem.started[row.started].promised)) if row.started >= 0 else Counter()
        left, gets = row.pairs - promised.total(), Counter(promised)
        queue = waiting[row.item]
        while left > 0 and queue:
            pairs = min(left, queue[0][1])
            gets[queue[0][0]] += pairs
            queue[0][1] -= pairs
            left -= pairs
            if queue[0][1] == 0:
                queue.pop(0)
        fills += [Fill(want, row.frame, pairs, row.ready) for want, pairs in gets.items() if pairs > 0]
    return tuple(fills)


@dataclass
class _Gets:
    there: int = 0
    last: date | None = None
    late: int = 0  # pair-days, not weighted yet
    wanted: int = field(default=0)


def wants_get(problem: Problem, fills: tuple[Fill, ...]) -> tuple[WantGets, ...]:
    """Of every want the day it is done, the pairs that stay open, and what it is late."""
    gets = [_Gets(wanted=want.pairs) for want in problem.wants]
    for started in problem.started:
        for want, pairs in started.promised:
            gets[want].wanted += pairs
    for fill in fills:
        one = gets[fill.want]
        one.there += fill.pairs
        one.last = max(one.last or fill.ready, fill.ready)
        one.late += fill.pairs * max(0, (fill.ready - problem.wants[fill.want].due).days)
    never, rows = unfilled_date(problem), []
    for at, (want, one) in enumerate(zip(problem.wants, gets, strict=True)):
        missing = one.wanted - one.there
        late = one.late + missing * max(0, (never - want.due).days)
        rows.append(WantGets(at, None if missing else one.last, missing, late * want.weight))
    _complete_groups(problem, gets, rows, never)
    return tuple(rows)


def _complete_groups(problem: Problem, gets: list[_Gets], rows: list[WantGets], never: date) -> None:
    """Wants of one order that is worth nothing before it is complete are there when the last of them is."""
    groups = defaultdict(list)
    for at, want in enumerate(problem.wants):
        if want.whole:
            groups[want.group or at].append(at)
    for places in groups.values():
        days = [rows[at].done for at in places if gets[at].wanted > 0]
        done = None if None in days else max(days, default=None)
        for at in places:
            want, wanted = problem.wants[at], gets[at].wanted
            late = max(0, ((done or never) - want.due).days) * wanted * want.weight
            rows[at] = WantGets(at, done if wanted else None, rows[at].open, late)


def change_minutes(problem: Problem, baths: Baths) -> int:
    """Minutes of change-over in the table of baths."""
    seconds = 0
    for vat, row in zip(problem.vats, baths, strict=True):
        seconds += sum(problem.change_s[a][b] for a, b in zip((vat.bath, *row), row, strict=False))
    return seconds // 60


def frames_over(problem: Problem, hangings: tuple[Hanging, ...]) -> int:
    """New frames hung beyond the fewest that the wants need."""
    hung = Counter(row.item for row in hangings if row.started < 0 and row.stage == 0)
    return sum(max(0, frames - frames_needed(problem, item)) for item, frames in hung.items())
