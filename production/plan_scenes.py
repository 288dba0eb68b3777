"""The dip plan as its picture shows it: day by day, for each half-day the vats and what hangs over them. No Django.

Reads a Problem and its Plan, and sums nothing up that the plan does not say: lateness is each want's day against the
day its pairs are there.
"""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date

from production.dip_plan.plan import Hanging, Plan
from production.dip_plan.problem import Half, Problem

MORNING, AFTERNOON = "morning", "afternoon"
EARLY_CLOSING = 14  # a day that closes before this hour was a morning


@dataclass(frozen=True)
class Hung:
    """One frame over a vat in a half-day. `fresh`: hung in it; `share`: of all its dips, done when the half-day ends;
    `off`: its last stage ends in it; `late`: days its latest pairs come after the day they are wanted."""

    hanging: Hanging
    fresh: bool
    share: float
    off: bool
    late: int

    @property
    def frame(self) -> int:
        return self.hanging.frame


@dataclass(frozen=True)
class Group:
    """Frames of one candle side by side: those hung in this half-day, or those that hang on from before."""

    item: int
    fresh: bool
    hung: tuple[Hung, ...]

    @property
    def late(self) -> list[int]:
        """Days late of those that are, the worst first."""
        return sorted((each.late for each in self.hung if each.late), reverse=True)


@dataclass(frozen=True)
class Over:
    """One vat in a half-day. `before`: the bath it is changed from, -1 where it stays; `minutes` that takes."""

    vat: int
    bath: int
    before: int
    minutes: int
    groups: tuple[Group, ...]

    @property
    def frames(self) -> int:
        return sum(len(group.hung) for group in self.groups)


@dataclass(frozen=True)
class Scene:
    """A half-day. `half`: its place in Problem.halves."""

    half: int
    part: str
    overs: tuple[Over, ...]


@dataclass(frozen=True)
class SceneDay:
    date: date
    scenes: tuple[Scene, ...]

    @property
    def fresh(self) -> int:
        """Frames hung on that day."""
        return sum(
            len(group.hung) for scene in self.scenes for over in scene.overs for group in over.groups if group.fresh
        )


def scenes_of(problem: Problem, plan: Plan) -> list[SceneDay]:
    """Every working day of the plan that has a half-day, in order."""
    late = late_by_frame(problem, plan)
    by_vat = defaultdict(list)
    for hanging in sorted(plan.hangings, key=lambda each: (each.starts, each.position)):
        by_vat[hanging.vat].append(hanging)
    days = defaultdict(list)
    for place, half in enumerate(problem.halves):
        overs = tuple(_over(problem, plan, (vat, place), by_vat[vat], late) for vat in range(len(problem.vats)))
        days[half.day].append(Scene(place, part_of(problem, half), overs))
    return [SceneDay(problem.days[day].date, tuple(scenes)) for day, scenes in sorted(days.items())]


def _over(problem: Problem, plan: Plan, spot: tuple[int, int], hangings: list[Hanging], late) -> Over:
    vat, place = spot
    half = problem.halves[place]
    held = [problem.vats[vat].bath, *plan.baths[vat][: place + 1]]
    # A vat the plan has no use for keeps what it holds.
    was = next(bath for bath in reversed(held[:-1]) if bath >= 0)
    bath = held[-1] if held[-1] >= 0 else was
    changed = bath != was
    groups = defaultdict(list)
    for each in hangings:
        if each.starts < half.ends and each.ends > half.starts:
            fresh = each.starts >= half.starts and not _hangs_already(problem, each)
            hung = Hung(
                each, fresh, _share(problem, each, half), _is_off(problem, each, half), late.get(each.frame, 0)
            )
            # What hangs on from before stands first, as it does on the carousel.
            groups[fresh, each.item].append(hung)
    return Over(
        vat,
        bath,
        was if changed else -1,
        problem.change_s[was][bath] // 60 if changed else 0,
        tuple(Group(item, fresh, tuple(found)) for (fresh, item), found in sorted(groups.items(), key=_hung_on_first)),
    )


def _hung_on_first(group) -> tuple[bool, int]:
    (fresh, _), hung = group
    return fresh, hung[0].hanging.starts


def _hangs_already(problem: Problem, hanging: Hanging) -> bool:
    return hanging.started >= 0 and hanging.stage == 0 and problem.started[hanging.started].vat >= 0


def _share(problem: Problem, hanging: Hanging, half: Half) -> float:
    """Of all the frame's dips, those done when the half-day ends: dips of a stage fall evenly between its ends."""
    stages = problem.items[hanging.item].stages
    whole = sum(stage.dips for stage in stages)
    left = problem.started[hanging.started].stages if hanging.started >= 0 else stages
    before = whole - sum(stage.dips for stage in left[hanging.stage :])
    span = hanging.ends - hanging.first
    gone = min(half.ends, hanging.ends) - hanging.first
    part = min(1.0, max(0.0, gone / span)) if span > 0 else 1.0
    return min(1.0, max(0.0, (before + part * hanging.dips) / whole)) if whole > 0 else 1.0


def _is_off(problem: Problem, hanging: Hanging, half: Half) -> bool:
    stages = problem.started[hanging.started].stages if hanging.started >= 0 else problem.items[hanging.item].stages
    return hanging.ends <= half.ends and hanging.stage == len(stages) - 1


def late_by_frame(problem: Problem, plan: Plan) -> dict[int, int]:
    """Days that the latest pairs of a frame come after the day they are wanted; frames in time are left out."""
    found: dict[int, int] = {}

    def note(frame: int, want: int, ready: date) -> None:
        days = (ready - problem.wants[want].due).days
        if days > found.get(frame, 0):
            found[frame] = days

    for fill in plan.fills:
        note(fill.frame, fill.want, fill.ready)
    for ready in plan.ready:
        for want, _ in problem.started[ready.started].promised if ready.started >= 0 else ():
            note(ready.frame, want, ready.ready)
    return found


def part_of(problem: Problem, half: Half) -> str:
    """ "morning" or "afternoon". Where a day has one half-day only, it is the one its closing time belongs to."""
    others = [each for each in problem.halves if each.day == half.day and each != half]
    if not others:
        return AFTERNOON if problem.days[half.day].closes.hour >= EARLY_CLOSING else MORNING
    return AFTERNOON if others[0].starts < half.starts else MORNING
