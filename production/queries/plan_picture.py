"""The dip plan's picture, ready for a page or a sheet: scenes with drawings, addresses and words beside them."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime

from django.urls import reverse
from django.utils import timezone
from django.utils.safestring import SafeString

from inventory.models import Candle
from inventory.words import counted
from production.dip_plan.clock import moment_done, moment_of
from production.dip_plan.plan import Plan
from production.dip_plan.problem import Problem
from production.models import Frame, PlannedFrame, PlanPin
from production.plan_scenes import AFTERNOON, Group, Hung, Over, Scene, SceneDay, scenes_of
from production.plan_svg import SCALE, Shape, draw_bath, draw_hanging
from production.plan_words import capital, full_day, said_day, short_day, work_time

UNKNOWN_BASE = 22.0  # mm, of a candle that has left the catalogue since
STEPS = 8  # thicknesses drawn between a bare wick and a finished candle


@dataclass(frozen=True)
class PairDrawn:
    """One frame. `url` is empty where there is no page for it."""

    url: str
    label: str
    svg: SafeString


@dataclass(frozen=True)
class GroupDrawn:
    code: str
    words: str
    pairs: tuple[PairDrawn, ...]
    fresh: bool
    late: bool
    times: str  # "08:00 p1 p2, 10:40 p3": when and at which position each is hung


@dataclass(frozen=True)
class VatDrawn:
    name: str
    bath: str
    changed: str  # "from red, 45 minutes"; empty where it stays
    pinned: bool
    svg: SafeString
    groups: tuple[GroupDrawn, ...]

    @property
    def fresh(self) -> list[GroupDrawn]:
        return [group for group in self.groups if group.fresh]

    @property
    def hanging_on(self) -> list[GroupDrawn]:
        return [group for group in self.groups if not group.fresh]


@dataclass(frozen=True)
class HalfDrawn:
    part: str
    now: bool
    vats: tuple[VatDrawn, ...]


@dataclass(frozen=True)
class DayDrawn:
    date: date
    title: str
    hung: str  # "5 frames to hang"
    halves: tuple[HalfDrawn, ...]


@dataclass
class Look:
    """What the drawings need besides the plan. `planned`: by number, the planned frames of the book; `codes`: of
    started frames, by key; `pins`: vat pins as (vat, day, half), frame pins with the candle before them."""

    shapes: Mapping[int, Shape]
    planned: Mapping[int, PlannedFrame] = field(default_factory=dict)
    frames: Mapping[int, Frame] = field(default_factory=dict)
    pins: frozenset = frozenset()
    scale: float = SCALE
    drawn: dict = field(default_factory=dict)

    def pair(self, item: int, share: float, late: bool) -> SafeString:
        """Drawn once for all frames that look the same."""
        step = 1.0 if share >= 1 else int(share * STEPS) / STEPS
        key = item, step, late
        if key not in self.drawn:
            self.drawn[key] = draw_hanging(self.shapes[item], share=step, late=late, scale=self.scale)
        return self.drawn[key]


def look_at(problem: Problem, plan_row=None, scale: float = SCALE) -> Look:
    """`plan_row`: the DipPlan of the book, where frames have pages; None for a plan that was only found. Four queries
    at most."""
    candles = Candle.objects.select_related("colour").in_bulk([item.key for item in problem.items])
    shapes = {place: _shape(item, candles.get(item.key), problem) for place, item in enumerate(problem.items)}
    planned, frames = {}, {}
    if plan_row is not None:
        planned = {row.number: row for row in plan_row.frames.select_related("frame")}
        frames = Frame.objects.in_bulk([started.key for started in problem.started])
    return Look(shapes, planned, frames, _pins(), scale)


def _shape(item, candle: Candle | None, problem: Problem) -> Shape:
    if candle:
        return Shape(float(candle.length_mm), float(candle.base_mm), float(candle.tip_mm), candle.colour.hex)
    colour = problem.baths[item.stages[-1].bath].hex if item.stages else "#ffffff"
    return Shape(float(item.length_mm), UNKNOWN_BASE, UNKNOWN_BASE / 2, colour)


def _pins() -> frozenset:
    rows = PlanPin.objects.values_list("candle", "vat", "day", "half")
    return frozenset(
        (vat, day, half) if candle is None else (candle, vat, day, half) for candle, vat, day, half in rows
    )


def draw_days(problem: Problem, plan: Plan, look: Look, *, since: datetime, until: date | None = None, first=None):
    """The days of the picture: half-days that are over by `since` are left out, days before `first` and after `until`
    too.
    """
    days = []
    for day in scenes_of(problem, plan):
        if (until and day.date > until) or (first and day.date < first):
            continue
        scenes = [scene for scene in day.scenes if _ends(problem, scene) > since]
        if scenes:
            days.append(_draw_day(problem, look, SceneDay(day.date, tuple(scenes)), since))
    return days


def _ends(problem: Problem, scene: Scene) -> datetime:
    return moment_done(problem.days, problem.halves[scene.half].ends)


def _draw_day(problem: Problem, look: Look, day: SceneDay, since: datetime) -> DayDrawn:
    today = timezone.localdate(since)
    near, full = said_day(day.date, today), full_day(day.date)
    title = f"{near.capitalize()}, {full}" if near in ("today", "tomorrow") else full
    hung = counted(day.fresh, "frame") + " to hang" if day.fresh else "no frame to hang"
    halves = []
    for scene in day.scenes:
        begins = moment_of(problem.days, problem.halves[scene.half].starts)
        vats = tuple(_draw_vat(problem, look, over, day.date, scene.part) for over in scene.overs)
        halves.append(HalfDrawn(scene.part, begins <= since, vats))
    return DayDrawn(day.date, title, hung, tuple(halves))


def _draw_vat(problem: Problem, look: Look, over: Over, day: date, part: str) -> VatDrawn:
    vat, bath = problem.vats[over.vat], problem.baths[over.bath]
    before = problem.baths[over.before] if over.before >= 0 else None
    half = 2 if part == AFTERNOON else 1
    return VatDrawn(
        name=vat.name,
        bath=bath.name,
        changed=f"from {before.name}, {work_time(over.minutes)}" if before else "",
        pinned=(vat.key, day, half) in look.pins,
        svg=draw_bath(bath.hex, before=before.hex if before else ""),
        groups=tuple(_draw_group(problem, look, group, (vat.key, day, half)) for group in over.groups),
    )


def _draw_group(problem: Problem, look: Look, group: Group, place: tuple) -> GroupDrawn:
    item = problem.items[group.item]
    pinned = group.fresh and (item.key, *place) in look.pins
    return GroupDrawn(
        code=item.code,
        words=_group_words(look, group, pinned),
        pairs=tuple(_draw_pair(problem, look, each) for each in group.hung),
        fresh=group.fresh,
        late=bool(group.late),
        times=_times(problem, group),
    )


def _times(problem: Problem, group: Group) -> str:
    at = defaultdict(list)
    for each in group.hung:
        begins = timezone.localtime(moment_of(problem.days, each.hanging.starts))
        at[f"{begins:%H:%M}"].append(f"p{each.hanging.position + 1}")
    return ", ".join(f"{time} {' '.join(places)}" for time, places in at.items())


def _group_words(look: Look, group: Group, pinned: bool) -> str:
    """ "3 frames, 1 late by 2 days"; "2 hang on"."""
    number = len(group.hung)
    said = [counted(number, "frame") if group.fresh else f"{number:,} {'hangs' if number == 1 else 'hang'} on"]
    threaded = sum(_threaded(look, each) is not None for each in group.hung) if group.fresh else 0
    if threaded:
        said.append(f"{threaded:,} threaded")
    if pinned:
        said.append("pinned")
    if group.late:
        which = "" if len(group.late) == number == 1 else f"{len(group.late):,} "
        said.append(f"{which}late by {counted(group.late[0], 'day')}")
    return ", ".join(said)


def _threaded(look: Look, hung: Hung) -> Frame | None:
    row = look.planned.get(hung.frame)
    return row.frame if row else None


def _draw_pair(problem: Problem, look: Look, hung: Hung) -> PairDrawn:
    hanging, item = hung.hanging, problem.items[hung.hanging.item]
    begins = timezone.localtime(moment_of(problem.days, hanging.starts))
    name, url = _page_of(problem, look, hung)
    said = [f"{name}, {item.name}"]
    said.append(f"hung at {begins:%H:%M}" if hung.fresh else f"hangs since {short_day(begins.date())}")
    if hung.off:
        off = timezone.localtime(moment_done(problem.days, hanging.ends))
        said.append(f"off at {off:%H:%M}")
    if hung.late:
        said.append(f"late by {counted(hung.late, 'day')}")
    return PairDrawn(url, ", ".join(said), look.pair(hanging.item, hung.share, bool(hung.late)))


def _page_of(problem: Problem, look: Look, hung: Hung) -> tuple[str, str]:
    """(what the frame is called, its page)."""
    if hung.hanging.started >= 0:
        started = problem.started[hung.hanging.started]
        known = started.key in look.frames
        return started.code, reverse("frame", args=[started.key]) if known else ""
    row = look.planned.get(hung.frame)
    if row is None:
        return f"Frame {hung.frame}", ""
    return (str(row.frame) if row.frame else capital(str(row))), reverse("dip_plan_frame", args=[row.pk])
