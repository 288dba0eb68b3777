"""A plan opened for questions: who waits for what, what comes when, and where room is left. No Django."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime

from production.dip_plan.clock import later, moment_done, ready_on, unfilled_date
from production.dip_plan.plan import Hanging, Plan, Ready
from production.dip_plan.problem import Item, Problem
from production.dip_plan.room import Room
from production.dip_plan.shares import FLOOR, PLAN, ROOM, STOCK, Demand, Share, Supply, share_out

Chance = Callable[[int, int, int], float]  # item, pairs hung together, firsts needed of them


@dataclass(frozen=True)
class Asking:
    """A plan open for questions. `stock`: firsts by item that lie free; `demands`: everybody waiting, in their order.

    `before`: what each of them gets as things are.
    """

    problem: Problem
    plan: Plan
    room: Room
    stock: Mapping[int, int]
    demands: Mapping[int, tuple[Demand, ...]]
    before: Mapping[int, tuple[Share, ...]]
    frames: Mapping[int, tuple[Ready, ...]]  # of the plan, by item
    chance: Chance | None = None

    @property
    def never(self) -> date:
        return unfilled_date(self.problem)


def asking(
    problem: Problem,
    plan: Plan,
    *,
    now: int = 0,
    stock: Mapping[int, int] | None = None,
    held: Mapping[int, list[Demand]] | None = None,
    chance: Chance | None = None,
) -> Asking:
    """`now`: the second of work nothing can be hung before. `stock`: firsts by item that lie free today.

    Whoever the plan counts on that stock for stands in `held`, or it would be promised twice.
    """
    stock, held = stock or {}, held or {}
    room = Room(problem, plan, now)
    frames: dict[int, tuple[Ready, ...]] = {}
    for row in plan.ready:
        frames[row.item] = (*frames.get(row.item, ()), row)
    state = Asking(problem, plan, room, stock, {}, {}, frames, chance)
    demands: dict[int, list[Demand]] = {item: list(rows) for item, rows in held.items()}
    for want, gets in zip(problem.wants, plan.wants, strict=True):
        if want.pairs:
            by = (gets.done or date.max) if want.whole else None
            demands.setdefault(want.item, []).append(Demand(want.pairs, want.due, want.label, by))
    sorted_ = {item: tuple(sorted(rows, key=lambda row: row.due)) for item, rows in demands.items()}
    before = {
        item: tuple(share_out(supplies(state, item), rows, state.never)) if problem.halves else ()
        for item, rows in sorted_.items()
    }
    return replace(state, demands=sorted_, before=before)


def supplies(state: Asking, item: int, room: Room | None = None) -> list[Supply]:
    """Firsts of an item that nothing was hung for, as they are ready."""
    problem, candle, room = state.problem, state.problem.items[item], room or state.room
    found, new = [], []
    for row in state.frames.get(item, ()):
        if row.started < 0:
            new.append((row.hard, row.frame, row.ready, PLAN))
        elif spare := problem.started[row.started].spare:
            found.append(Supply(row.ready, row.hard, row.frame, spare, FLOOR))
    for row in room.added:
        if row.item == item and row.stage == len(candle.stages) - 1 and (when := ready(problem, row)):
            new.append((when[0], row.frame, when[1], ROOM))
    for count, (hard, frame, day, source) in enumerate(sorted(new), start=1):
        if pairs := counted(candle, count) - counted(candle, count - 1):
            found.append(Supply(day, hard, frame, pairs, source))
    found.sort(key=lambda row: (row.ready, row.hard, row.frame))
    if state.stock.get(item):
        today = problem.days[0]
        found.insert(0, Supply(today.date, today.opens, -1, state.stock[item], STOCK))
    return found


def counted(item: Item, frames: int) -> int:
    """Firsts counted on from so many frames. Beyond those the plan knows, each adds what the last one did."""
    most = item.most_frames
    if frames <= most:
        return item.counted[frames]
    return item.counted[most] + (frames - most) * (item.counted[most] - item.counted[most - 1] if most else 0)


def ready(problem: Problem, row: Hanging) -> tuple[datetime, date] | None:
    """When a frame is hard, and the day its pairs are there; None after the plan's last day."""
    hard = later(moment_done(problem.days, row.ends), problem.items[row.item].harden_s)
    day = ready_on(problem.days, hard)
    return (hard, day) if day else None
