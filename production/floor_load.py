"""How full the floor is, week by week: what is asked of vats, positions and hands against what there is. No Django.

A frame holds a position for its dips and the turn it is hung in. A turn dips every position of a carousel, so that a
full carousel shares its turns out over its positions: a vat's turns are full when the positions over it are. Vats may
not hold every wax, nor cover every candle, so each set of vats is weighed against the work that can be done nowhere
else (for work that can be shared out freely, the fullest of these sets is exactly what cannot be got round: the
max-flow min-cut theorem). Change-overs take turns and no positions: one for each colour beyond the vats, at the mean
of their times. Hands are those that thread. Seconds of work; a load of 1 is full.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from itertools import combinations

from production.dip_plan.problem import REHANG_TURNS, Item, Problem, Stage

HANGING, WANTED, EXPECTED = "hanging", "wanted", "expected"
MOST_SETS = 7  # of vats told apart: 127 unions of them; a floor with more is weighed by each and by all
Vats = frozenset[int]


@dataclass(frozen=True)
class Task:
    """Frames (not whole) of one item to be hung in week `week`, for wants or for what is still expected.

    `work`: (vats that can do it, seconds on a position) a stage of one frame; `baths` of them; `threads` 0 or 1.
    """

    item: int
    frames: float
    week: int
    kind: str
    work: tuple[tuple[Vats, int], ...]
    baths: frozenset[int]
    threads: int = 1

    def part(self, share: float, week: int | None = None) -> "Task":
        week = self.week if week is None else week
        return Task(self.item, self.frames * share, week, self.kind, self.work, self.baths, self.threads)


@dataclass(frozen=True)
class Week:
    """A week of work from its Monday: seconds open, frames the hands can thread."""

    monday: date
    open_s: int
    threads: int

    @property
    def last(self) -> date:
        return self.monday + timedelta(days=6)


@dataclass(frozen=True)
class Load:
    """Shares of what there is: 1 is full. `vats`: the set that is fullest; `turn_s` of turns over it are asked for,
    change-overs among them, of `turns_there_s`. `threading` frames are to be threaded."""

    positions: float
    turns: float
    hands: float
    vats: Vats
    turn_s: float
    turns_there_s: int
    threading: float

    @property
    def most(self) -> float:
        return max(self.positions, self.turns, self.hands)

    @property
    def binds(self) -> str:
        """ "hands", "turns" or "positions": what is fullest; "" for no load."""
        shares = {"turns": self.turns, "positions": self.positions, "hands": self.hands}
        return max(shares, key=shares.get) if self.most else ""


@dataclass
class FloorWeeks:
    """The weeks of a problem and the work in them. `said`: what was left out."""

    problem: Problem
    weeks: list[Week]
    tasks: list[Task] = field(default_factory=list)
    said: list[str] = field(default_factory=list)

    def of_week(self, week: int) -> list[Task]:
        return [task for task in self.tasks if task.week == week]

    def load(self, week: int) -> Load:
        return load_of(self.problem, self.weeks[week], self.of_week(week))

    def week_at(self, day: date) -> int:
        """The week a day lies in, the first for earlier ones, the last for later ones."""
        found = [place for place, week in enumerate(self.weeks) if week.monday <= day]
        return found[-1] if found else 0


def weeks_of(problem: Problem) -> list[Week]:
    """The weeks of the problem's half-days."""
    open_s, threads = defaultdict(int), defaultdict(int)
    for half, most in zip(problem.halves, problem.threads, strict=True):
        day = problem.days[half.day].date
        monday = day - timedelta(days=day.weekday())
        open_s[monday] += half.ends - half.starts
        threads[monday] += most
    return [Week(monday, open_s[monday], threads[monday]) for monday in sorted(open_s)]


def floor_weeks(problem: Problem, expected: Iterable[tuple[int, int, date]] = ()) -> FloorWeeks:
    """The problem's frames on their way, its wants, and what is `expected` besides: (item, pairs of firsts, due).

    Each is hung as late as it can be: dips and hardening before the day it is due. Late already: now.
    """
    floor = FloorWeeks(problem, weeks_of(problem))
    if not floor.weeks:
        return floor
    for started in problem.started:
        work = work_of(problem, started.stages, problem.items[started.item])
        if work:
            floor.tasks.append(Task(started.item, 1.0, 0, HANGING, work, baths_of(started.stages), threads=0))
    wanted = [(want.item, want.pairs, want.due) for want in problem.wants if want.pairs]
    spare = defaultdict(int)
    for started in problem.started:
        spare[started.item] += started.spare
    _put(floor, wanted, WANTED, spare)
    _put(floor, list(expected), EXPECTED, spare)
    return floor


def _put(floor: FloorWeeks, rows: Sequence[tuple[int, int, date]], kind: str, spare: dict[int, int]) -> None:
    """Frames for these pairs, the earliest due first; firsts to spare are used up before."""
    problem, stuck = floor.problem, {}
    for item, pairs, due in sorted(rows, key=lambda row: (row[2], row[0])):
        taken = min(pairs, spare.get(item, 0))
        spare[item] = spare.get(item, 0) - taken
        candle = problem.items[item]
        firsts, work = firsts_of(candle), work_of(problem, candle.stages, candle)
        if pairs == taken:
            continue
        if not firsts or work is None:
            why = "no vat in use can dip it" if firsts else "no firsts are counted on from its frames"
            stuck[candle.name] = why
            continue
        week = floor.week_at(hang_by(problem, candle, due))
        floor.tasks.append(Task(item, (pairs - taken) / firsts, week, kind, work, baths_of(candle.stages)))
    floor.said += [f"{name} is left out: {why}." for name, why in sorted(stuck.items())]


def firsts_of(item: Item) -> float:
    """Firsts that a frame more is counted on for, where several hang together."""
    return item.counted[-1] / item.most_frames if item.most_frames else 0.0


def position_s(item: Item) -> int:
    """Seconds a frame of it holds a position, over all its stages."""
    return sum(_stage_s(stage) for stage in item.stages)


def _stage_s(stage: Stage) -> int:
    return (stage.dips + REHANG_TURNS) * max(stage.turn_s, stage.dip_s)


def hang_by(problem: Problem, item: Item, due: date) -> date:
    """The last day to hang a frame so that it is hard by the evening before `due`, a day's work taken as the mean."""
    days = [problem.days[half.day] for half in problem.halves]
    open_s = sum(half.ends - half.starts for half in problem.halves) / len(set(days))
    hard_by = due - timedelta(days=1 + -(-item.harden_s // 86_400))
    left = -(-position_s(item) // max(1, int(open_s)))
    day = hard_by
    worked = {each.date for each in problem.days}
    while left > 1 and day > problem.days[0].date:
        day -= timedelta(days=1)
        left -= day in worked
    return max(day, problem.days[0].date)


def baths_of(stages: Iterable[Stage]) -> frozenset[int]:
    return frozenset(stage.bath for stage in stages)


def work_of(problem: Problem, stages: Iterable[Stage], item: Item) -> tuple[tuple[Vats, int], ...] | None:
    """(vats that can do a stage, seconds on a position) of each stage; None where one can be done nowhere."""
    found = []
    for stage in stages:
        vats = frozenset(
            place
            for place, vat in enumerate(problem.vats)
            if (stage.bath in vat.may_hold or stage.bath == vat.bath) and vat.depth_mm >= item.length_mm
        )
        if not vats:
            return None
        found.append((vats, _stage_s(stage)))
    return tuple(found)


def load_of(problem: Problem, week: Week, tasks: Sequence[Task]) -> Load:
    """How full a week is with these tasks."""
    asked: dict[Vats, float] = defaultdict(float)
    baths: dict[Vats, set[int]] = defaultdict(set)
    for task in tasks:
        for vats, seconds in task.work:
            asked[vats] += task.frames * seconds
            baths[vats] |= task.baths
    threading = sum(task.frames * task.threads for task in tasks)
    hands = threading / week.threads if week.threads else float(threading > 0)
    best = Load(0.0, 0.0, hands, frozenset(), 0.0, 0, threading)
    for vats in _unions(asked):
        within = [each for each in asked if each <= vats]
        seconds = sum(asked[each] for each in within)
        places = sum(problem.vats[vat].positions for vat in vats)
        there_s = len(vats) * week.open_s
        if not places or not there_s:
            continue
        turn_s = seconds * len(vats) / places + _changes_s(
            problem, set().union(*(baths[each] for each in within)), vats
        )
        load = Load(seconds / (places * week.open_s), turn_s / there_s, hands, vats, turn_s, there_s, threading)
        if load.turns > best.turns:
            best = load
    return best


def _unions(asked: Iterable[Vats]) -> list[Vats]:
    sets = sorted(asked, key=sorted)
    if len(sets) > MOST_SETS:
        return [*sets, frozenset().union(*sets)]
    return sorted(
        {frozenset().union(*some) for many in range(1, len(sets) + 1) for some in combinations(sets, many)}, key=sorted
    )


def _changes_s(problem: Problem, baths: set[int], vats: Vats) -> float:
    """Seconds of the fewest change-overs that bring every bath to these vats, at the mean of their times."""
    changes = max(0, len(baths) - len(vats))
    pairs = [problem.change_s[a][b] for a in baths for b in baths if a != b]
    return changes * sum(pairs) / len(pairs) if pairs else 0.0


def kinds_of(tasks: Iterable[Task]) -> dict[str, float]:
    """Seconds on positions by kind of task."""
    found: dict[str, float] = defaultdict(float)
    for task in tasks:
        found[task.kind] += task.frames * sum(seconds for _, seconds in task.work)
    return dict(found)
