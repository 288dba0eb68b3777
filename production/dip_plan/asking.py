"""A plan opened for questions: who waits for what, what comes when, and where room is left. No Django."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime

from production.dip_plan.clock import later, moment_done, ready_on, unfilled_date
from production.dip_plan.plan import Hanging, Plan, Ready
from production.dip_plan.problem import Item, Problem
from production.dip_plan.room import Room
from production.dip_plan.shares import FLOOR, PLAN, ROOM, STOCK, Demand, Share, Supply, share_out

Chance = Callable[[int, int, int], float]  # item, pairs hung together, firsts needed of them
MOST_RESERVED = 60  # frames hung ahead of the question for one candle that the plan does not know enough of


@dataclass(frozen=True)
class Asking:
    """A plan open for questions, everything by item.

    `frames`: new ones of the plan that are still to come; `floor`: firsts that hang for nobody; `stock`: firsts that
    lie free on `today`. `demands`: everybody waiting, in their order, and `before`: what each gets as things are.
    """

    problem: Problem
    room: Room
    today: date
    frames: Mapping[int, tuple[Ready, ...]]
    floor: Mapping[int, tuple[Supply, ...]] = field(default_factory=dict)
    stock: Mapping[int, int] = field(default_factory=dict)
    demands: Mapping[int, tuple[Demand, ...]] = field(default_factory=dict)
    before: Mapping[int, tuple[Share, ...]] = field(default_factory=dict)
    chance: Chance | None = None

    @property
    def never(self) -> date:
        return unfilled_date(self.problem)

    def at(self, now: int, today: date) -> "Asking":
        """The same plan some time later: nothing is hung before the second of work `now`."""
        room = self.room.copy()
        room.now = now
        return replace(self, room=room, today=today)

    def with_demands(self, demands: Mapping[int, Sequence[Demand]]) -> "Asking":
        """Everybody waiting for these items, in the order in which supply goes to them."""
        waiting = {item: tuple(rows) for item, rows in demands.items()}
        state = replace(self, demands={**self.demands, **waiting})
        shares = {item: tuple(share_out(supplies(state, item), rows, self.never)) for item, rows in waiting.items()}
        return replace(state, before={**self.before, **shares})


def open_plan(problem: Problem, plan: Plan, *, chance: Chance | None = None) -> Asking:
    """The plan as it stands, before anybody is said to wait. Costs the most, and can be kept for all questions."""
    frames: dict[int, list[Ready]] = defaultdict(list)
    floor: dict[int, list[Supply]] = defaultdict(list)
    for row in plan.ready:
        if row.started < 0:
            frames[row.item].append(row)
        elif spare := problem.started[row.started].spare:
            floor[row.item].append(Supply(row.ready, row.hard, row.frame, spare, FLOOR))
    return Asking(
        problem,
        Room(problem, plan, 0),
        problem.days[0].date if problem.days else date.min,
        {item: tuple(rows) for item, rows in frames.items()},
        {item: tuple(rows) for item, rows in floor.items()},
        chance=chance,
    )


def asking(problem: Problem, plan: Plan, *, chance: Chance | None = None) -> Asking:
    """The plan with everybody waiting whom it was made for."""
    demands: dict[int, list[Demand]] = defaultdict(list)
    for want, gets in zip(problem.wants, plan.wants, strict=True):
        if want.pairs:
            by = (gets.done or date.max) if want.whole else None
            demands[want.item].append(Demand(want.pairs, want.due, want.label, by))
    state = open_plan(problem, plan, chance=chance)
    return state.with_demands(demands) if problem.halves else state


def reserved(state: Asking, items: Iterable[int]) -> Asking:
    """Room is taken for those who wait for these items and get too little: whoever asks now comes after them."""
    for item in items:
        room = state.room
        short = sum(share.open for share in state.before.get(item, ()))
        for _ in range(MOST_RESERVED):
            if short <= 0:
                break
            had, room = sum(supply.pairs for supply in supplies(state, item, room)), room.copy()
            if not room.hang(item):
                break
            short -= sum(supply.pairs for supply in supplies(state, item, room)) - had
        state = replace(state, room=room).with_demands({item: state.demands.get(item, ())})
    return state


def supplies(state: Asking, item: int, room: Room | None = None) -> list[Supply]:
    """Firsts of an item that nothing was hung for, as they are ready."""
    problem, candle, room = state.problem, state.problem.items[item], room or state.room
    found = list(state.floor.get(item, ()))
    new = [(row.hard, row.frame, row.ready, PLAN) for row in state.frames.get(item, ())]
    for row in room.added:
        if row.item == item and row.stage == len(candle.stages) - 1 and (when := ready(problem, row)):
            new.append((when[0], row.frame, when[1], ROOM))
    for count, (hard, frame, day, source) in enumerate(sorted(new), start=1):
        if pairs := counted(candle, count) - counted(candle, count - 1):
            found.append(Supply(day, hard, frame, pairs, source))
    found.sort(key=lambda row: (row.ready, row.hard, row.frame))
    if state.stock.get(item):
        found.insert(0, Supply(state.today, problem.days[0].opens, -1, state.stock[item], STOCK))
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
