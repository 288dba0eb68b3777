"""What would save a promise: changes of the floor tried one by one, each simulated, and who would be later by it.

No Django. A way is a problem and a table of baths; nothing is guessed: a way that saves is one whose simulated plan
has the pairs by the day. Ways are ranked by what they do to others, weighted late pair-days first, then by the work.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta

from production.dip_plan.binds import day_in_words
from production.dip_plan.clock import half_of, moment_of, unfilled_date
from production.dip_plan.plan import Plan
from production.dip_plan.problem import REHANG_TURNS, Problem, Want
from production.dip_plan.simulate import simulate

MOST_BLOCKS = 6  # vats and half-days a block of the colour is tried at
FIRST = timedelta(days=3650)  # before everybody
Baths = tuple[tuple[int, ...], ...]


@dataclass(frozen=True)
class Tried:
    """A change to try. `minutes`: of work it takes; `moves_up`: the pairs' frames are hung before all others."""

    words: str
    problem: Problem
    baths: Baths
    minutes: int = 0
    moves_up: bool = False


@dataclass(frozen=True)
class Later:
    """Somebody who would be later, by so many days; `nowhere`: the plan would not bring it at all."""

    label: str
    days: int
    pairs: int
    nowhere: bool = False


@dataclass(frozen=True)
class Way:
    """`done`: when the last pair is there, None if not within the plan. `harm`: weighted late pair-days of others."""

    words: str
    done: date | None
    saves: bool
    later: tuple[Later, ...]
    harm: int
    minutes: int

    @property
    def rank(self) -> tuple:
        return not self.saves, self.harm, self.minutes, self.done or date.max


@dataclass(frozen=True)
class _Gets:
    want: Want
    done: date | None
    days: int  # late pair-days, not weighted


def ways_to_save(
    problem: Problem, baths: Baths, keys: Collection[int], by: date, more: Iterable[Tried] = ()
) -> list[Way]:
    """The ways that were tried to have the wants `keys` by the day, the cheapest first.

    `more`: changes the caller thinks of (a Saturday worked, another pair of hands), tried with the frames moved up.
    Nothing is tried where the plan as it stands has them in time: that is the only way then.
    """
    before = _gets(problem, problem, simulate(problem, baths))
    now = _way(Tried("plan again: the colours as they stand bring it in time", problem, baths), before, keys, by)
    if now.saves:
        return [now]
    tried = [Tried("", problem, baths, moves_up=True), *_blocks(problem, baths, keys, by)]
    tried += [replace(each, moves_up=True) for each in more]
    ways = [_way(each, before, keys, by) for each in tried]
    return sorted(ways, key=lambda way: way.rank)


def _way(tried: Tried, before: Mapping[int, _Gets], keys: Collection[int], by: date) -> Way:
    problem = moved_up(tried.problem, keys) if tried.moves_up else tried.problem
    plan = simulate(problem, tried.baths)
    after = _gets(tried.problem, problem, plan)
    mine = [after[key] for key in keys if key in after]
    done = None if any(gets.done is None for gets in mine) else max((gets.done for gets in mine), default=None)
    never = unfilled_date(tried.problem)
    later, harm = [], 0
    for key, gets in after.items():
        # Whoever gives pairs away that lie set aside waits for nothing before.
        old = before.get(key) or _Gets(gets.want, gets.want.due, 0)
        if key in keys or gets.days <= old.days:
            continue
        harm += (gets.days - old.days) * gets.want.weight
        was = max(old.done or never, gets.want.due)
        days = max(1, ((gets.done or never) - was).days)
        later.append(Later(gets.want.label, days, gets.want.pairs, gets.done is None))
    words = tried.words or _moved_words(problem, plan, keys)
    return Way(words, done, done is not None and done <= by, tuple(later), harm, tried.minutes)


def moved_up(problem: Problem, keys: Collection[int]) -> Problem:
    """The same with these wants wanted before all others, and first in line for what is ready."""
    first = [at for at, want in enumerate(problem.wants) if want.key in keys]
    places = [*first, *(at for at in range(len(problem.wants)) if at not in set(first))]
    heaviest = max((want.weight for want in problem.wants), default=1)
    wants = [problem.wants[at] for at in places]
    wants = [replace(want, due=want.due - FIRST, weight=10 * heaviest) if want.key in keys else want for want in wants]
    to = {old: new for new, old in enumerate(places)}
    started = tuple(
        replace(frame, promised=tuple((to[at], pairs) for at, pairs in frame.promised)) for frame in problem.started
    )
    return replace(problem, wants=tuple(wants), started=started)


def _gets(problem: Problem, simulated: Problem, plan: Plan) -> dict[int, _Gets]:
    """By want's key: what the plan gives it. It was simulated with some wants moved up; their days are counted here by
    the problem as it is.
    """
    own = {want.key: want for want in problem.wants}
    brought: dict[int, list[tuple[date, int]]] = {key: [] for key in own}
    for fill in plan.fills:
        brought[simulated.wants[fill.want].key].append((fill.ready, fill.pairs))
    never, found = unfilled_date(problem), {}
    for gets in plan.wants:
        want = own[simulated.wants[gets.want].key]
        days = sum(pairs * max(0, (day - want.due).days) for day, pairs in brought[want.key])
        days += gets.open * max(0, (never - want.due).days)
        if want.whole:
            days = want.pairs * max(0, ((gets.done or never) - want.due).days)
        # Nothing open and nothing brought: stock has it all.
        done = gets.done or (None if gets.open else want.due)
        found[want.key] = _Gets(want, done, days)
    return found


def _blocks(problem: Problem, baths: Baths, keys: Collection[int], by: date) -> Iterator[Tried]:
    """Another vat in the wants' colour for as long as one frame takes, or for two, from several half-days on."""
    items = {problem.wants[at].item for at in range(len(problem.wants)) if problem.wants[at].key in keys}
    for item in sorted(items)[:2]:
        candle = problem.items[item]
        bath = candle.stages[-1].bath
        work = sum((stage.dips + REHANG_TURNS) * max(stage.turn_s, stage.dip_s) for stage in candle.stages)
        for vat, half in _places(problem, baths, item, by):
            held = baths[vat][half - 1] if half else problem.vats[vat].bath
            change = problem.change_s[held][bath]
            ends = half_of(problem, problem.halves[half].starts + change + work) + 1
            row = (*baths[vat][:half], *[bath] * (ends - half), *baths[vat][ends:])
            table = (*baths[:vat], row[: len(problem.halves)], *baths[vat + 1 :])
            on = moment_of(problem.days, problem.halves[half].starts)
            words = f"{problem.vats[vat].name} changed to {problem.baths[bath].name} on {day_in_words(on.date())}"
            yield Tried(words, problem, table, 2 * change // 60, moves_up=True)


def _places(problem: Problem, baths: Baths, item: int, by: date) -> list[tuple[int, int]]:
    """(vat, half-day) from which another bath could be held early enough to be of use, spread over vats and time."""
    candle, frozen = problem.items[item], problem.frozen.halves if problem.frozen else 0
    bath = candle.stages[-1].bath
    found = []
    for vat, over in enumerate(problem.vats):
        if bath not in over.may_hold or over.depth_mm < candle.length_mm:
            continue
        halves = [
            half
            for half in range(frozen, len(problem.halves))
            if baths[vat][half] != bath and problem.days[problem.halves[half].day].date < by
        ]
        found += [(half, vat) for half in halves[:4]]
    return [(vat, half) for half, vat in sorted(found)[:MOST_BLOCKS]]


def _moved_words(problem: Problem, plan: Plan, keys: Collection[int]) -> str:
    frames = {fill.frame for fill in plan.fills if problem.wants[fill.want].key in keys}
    first = min((row for row in plan.hangings if row.frame in frames and row.started < 0), default=None,
                key=lambda row: row.starts)  # fmt: skip
    if first is None:
        return "its pairs taken over from who gets them first"
    on = moment_of(problem.days, first.starts).date()
    return f"{problem.items[first.item].name} hung before everything else, from {day_in_words(on)}"
