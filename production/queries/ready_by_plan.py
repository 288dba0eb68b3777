"""Ready-by out of the plan that stands, with the book as it is now.

The plan is decoded once a process and kept, as are the answers given last: order entry asks again with every row. What
may change between two keystrokes (who waits, what hangs, what lies free) is read each time, in a fixed number of
queries. Orders taken since the plan was made have room kept for them first. The first working day stays as it is
planned, as it does when one plans again: nothing more is hung before the next one opens, be it evening or Sunday now.
"""

from collections import OrderedDict, defaultdict
from collections.abc import Callable, Collection, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from functools import partial
from threading import Lock
from typing import NamedTuple

from django.utils import timezone

from production.chances import Rate, chance_of_firsts
from production.dip_plan.asking import Asking, open_plan, reserved
from production.dip_plan.clock import second_at
from production.dip_plan.codec import plan_from_json, problem_from_json
from production.dip_plan.plan import Plan
from production.dip_plan.ready_by import Answer, answer
from production.dip_plan.shares import FLOOR, Demand, Supply
from production.models import DipPlan, PlannedFrame, Recipe, Want
from production.queries.dip_list import free_firsts
from production.queries.dip_plan import standing_plan
from production.queries.firsts import firsts_rates
from production.queries.on_floor import on_floor_by_want
from production.queries.ready_by import outlooks
from production.queries.spare import spare_by_candle

KEPT = 256  # rows of the orders being typed; each holds little that the one before it does not
NO_RECIPE = "it has no recipe yet: nobody can tell when"
NOT_KNOWN = "the dip plan was made without it: plan again"


@dataclass(frozen=True)
class Opened:
    """A plan decoded. `items`: candle -> place; `wants`: key -> (pairs, day the plan has it done). `key`: what is kept
    of it is kept under this."""

    plan: Plan
    state: Asking
    items: Mapping[int, int]
    wants: Mapping[int, tuple[int, date | None]]
    key: Hashable


_kept: OrderedDict[Hashable, object] = OrderedDict()
_lock = Lock()


def keep(key: Hashable, make: Callable):
    """What was made last for a key, or made now. Two threads may make it twice; that does no harm."""
    with _lock:
        if key in _kept:
            _kept.move_to_end(key)
            return _kept[key]
    made = make()
    with _lock:
        _kept[key] = made
        while len(_kept) > KEPT:
            _kept.popitem(last=False)
    return made


def opened(plan: DipPlan) -> Opened:
    """The plan, decoded once a process. Two queries the first time, for its problem and answer."""
    return keep(("plan", plan.pk, plan.made_at), lambda: _decode(plan))


def _decode(row: DipPlan) -> Opened:
    problem, plan = problem_from_json(row.problem), plan_from_json(row.answer)
    wants = {want.key: (want.pairs, gets.done) for want, gets in zip(problem.wants, plan.wants, strict=True)}
    items = {item.key: place for place, item in enumerate(problem.items)}
    return Opened(plan, open_plan(problem, plan), items, wants, (row.pk, row.made_at))


def state_now(plan: Opened, row: DipPlan, now: datetime) -> tuple[Asking, Hashable]:
    """A plan open for questions about all its candles, with the book as it is now; and what the answers depend on."""
    state, key = _Live(plan, row, now, ()).state(plan.items)
    rest = (tuple(sorted(part.items())) for part in (state.stock, state.demands, state.floor))
    return state, (key, *rest)


def ask_plan(
    asked: Sequence[tuple[int, int]], *, leave_out: Collection[int] = (), now: datetime | None = None
) -> list[Answer] | None:
    """For each (candle, pairs of firsts) in turn: when they could be there. None where no plan stands.

    `leave_out`: wants of the order that asks, which do not wait before itself.
    """
    row = standing_plan()
    if row is None:
        return None
    now, plan = now or timezone.now(), opened(row)
    candles = {candle for candle, _ in asked}
    live = _Live(plan, row, now, leave_out)
    state, key = live.state(candles)
    rates = firsts_rates(candles)
    state = replace(state, chance=_chance(rates, plan.items))
    found, strange = [], _why_not_known(candles - set(plan.items))
    for candle, pairs in asked:
        item = plan.items.get(candle)
        if item is None:
            found.append(Answer(-1, pairs, None, binds=strange[candle]))
            continue
        row_now = (pairs, rates[candle], state.stock.get(item), state.demands.get(item), state.floor.get(item))
        # A number, because a key within a key within a key would be hashed anew with every row.
        key = hash((key, item, *row_now))
        given, after = keep(key, partial(answer, state, item, pairs))
        found.append(given)
        # What was kept may have been asked beside other rows: of it only the room and this candle's waiting are taken.
        state = replace(
            state,
            room=after.room,
            demands={**state.demands, item: after.demands[item]},
            before={**state.before, item: after.before[item]},
        )
    return found


def _why_not_known(candles: set[int]) -> dict[int, str]:
    """Of candles the plan does not know. A query, none for none."""
    has = set(Recipe.objects.filter(candle__in=candles).values_list("candle", flat=True)) if candles else set()
    return {candle: NOT_KNOWN if candle in has else NO_RECIPE for candle in candles}


def _chance(rates: Mapping[int, Rate], items: Mapping[int, int]):
    by_item = {items[candle]: rate for candle, rate in rates.items() if candle in items}

    def chance(item: int, hung: int, need: int) -> float:
        return chance_of_firsts(hung, need, by_item[item].good, by_item[item].of)

    return chance


class _Wanted(NamedTuple):
    """A want's own columns: there may be thousands, and every keystroke reads them."""

    pk: int
    candle: int
    pairs: int
    wanted_by: date
    for_whom: str
    group: str
    all_or_nothing: bool


class _Live:
    """The book as it is now, as far as a plan's questions need it."""

    def __init__(self, plan: Opened, row: DipPlan, now: datetime, leave_out: Collection[int]):
        self.plan, self.row, self.now = plan, row, now
        self.today = timezone.localdate(now)
        self.waiting: dict[int, list[tuple[_Wanted, int]]] = defaultdict(list)
        wants = Want.objects.exclude(pk__in=list(leave_out)) if leave_out else Want.objects.all()
        hangs = on_floor_by_want(wants)
        for values in wants.order_by("wanted_by", "rank", "pk").values_list(*_Wanted._fields):
            want = _Wanted(*values)
            if (left := want.pairs - hangs.get(want.pk, 0)) > 0:
                self.waiting[want.candle].append((want, left))

    def state(self, candles: Iterable[int]) -> tuple[Asking, Hashable]:
        """The plan with who waits for these candles, after room was kept for orders it does not know; and a key that
        is the same as long as nothing of that has changed."""
        unknown = [candle for candle in self.waiting if any(self._is_unknown(*each) for each in self.waiting[candle])]
        relevant = {candle for candle in (*candles, *unknown) if candle in self.plan.items}
        free, floor = free_firsts(relevant), self._floor(relevant)
        items = {self.plan.items[candle]: candle for candle in relevant}
        stock = {item: free.get(candle, 0) for item, candle in items.items()}
        demands = {item: tuple(self._demands(candle)) for item, candle in items.items()}
        short = [self.plan.items[candle] for candle in unknown if candle in self.plan.items]
        gone = self._gone()
        key = (self.plan.key, self._second, gone, *((n, stock[n], demands[n], floor.get(n)) for n in sorted(short)))
        kept = keep(("room", key), lambda: reserved(self._bare(gone, stock, floor).with_demands(demands), short))
        return self._as_now(kept, stock, floor, demands), key

    @property
    def _second(self) -> int:
        """Of work, from which on something can be hung: the opening after the first working day not yet over."""
        days = self.plan.state.problem.days
        now = second_at(days, self.now)
        return next((day.ends for day in days if day.starts <= now < day.ends), now)

    def _bare(self, gone: frozenset[int], stock, floor) -> Asking:
        state = self.plan.state.at(self._second, self.today)
        frames = {item: tuple(row for row in rows if row.frame not in gone) for item, rows in state.frames.items()}
        return replace(state, frames=frames, stock=stock, floor=floor)

    @staticmethod
    def _as_now(kept: Asking, stock, floor, demands) -> Asking:
        """Kept was the room; what lies free and who waits is as it is now."""
        return replace(kept, stock=stock, floor=floor, demands={}, before={}).with_demands(demands)

    def _is_unknown(self, want: _Wanted, left: int) -> bool:
        """Taken, or grown, since the plan was made."""
        return left > self.plan.wants.get(want.pk, (0, None))[0]

    def _demands(self, candle: int) -> Iterable[Demand]:
        for want, left in self.waiting.get(candle, ()):
            whole = want.all_or_nothing and bool(want.group)
            done = self.plan.wants.get(want.pk, (0, None))[1]
            yield Demand(left, want.wanted_by, want.for_whom, (done or date.max) if whole else None)

    def _gone(self) -> frozenset[int]:
        """Frames of the plan that bring nothing more by themselves: threaded since, or not hung on their day."""
        rows = PlannedFrame.objects.filter(plan=self.row.pk).values_list("number", "frame", "starts")
        return frozenset(n for n, frame, starts in rows if frame or timezone.localdate(starts) < self.today)

    def _floor(self, candles: Collection[int]) -> dict[int, tuple[Supply, ...]]:
        """Firsts that hang for the shelf, each frame by the day it can be graded."""
        spare = {candle: rows for candle, rows in spare_by_candle(candles).items() if rows}
        ready = outlooks(frame for rows in spare.values() for frame, _ in rows)
        found = defaultdict(list)
        for candle, rows in spare.items():
            for frame, pairs in rows:
                if day := ready[frame.pk].ready:
                    found[self.plan.items[candle]].append(
                        Supply(day, self.now_of_day(day), -1 - frame.pk, pairs, FLOOR)
                    )
        return {item: tuple(rows) for item, rows in found.items()}

    def now_of_day(self, day: date) -> datetime:
        """Midnight that begins the day: good enough to put frames of one day in some order."""
        return timezone.make_aware(datetime(day.year, day.month, day.day))
