"""What the plan that stands hangs next: frames still to be threaded, and threaded ones that wait."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q, QuerySet
from django.urls import reverse
from django.utils import timezone

from inventory.models import Candle
from production.dip_plan.clock import moment_of
from production.dip_plan.plan import Hanging
from production.dip_plan.problem import Problem
from production.models import Frame, PlannedFrame
from production.models.frame import HANGING, THREADED
from production.plan_words import said_day
from production.queries.dip_plan import standing_plan
from production.queries.plan_read import Read, read_plan


@dataclass(frozen=True)
class Next:
    """What hangs next over one vat. `frame`: it is threaded already; `planned`: else the frame of the plan."""

    candle: Candle
    pairs: int
    vat: str
    carousel: str
    carousel_pk: int
    position: int
    starts: datetime
    today: datetime
    frame: Frame | None
    planned: PlannedFrame | None

    @property
    def when(self) -> str:
        """ "at 10:40", "tomorrow at 08:00"; "now" where its time has come."""
        starts, now = timezone.localtime(self.starts), timezone.localtime(self.today)
        if starts <= now:
            return "now"
        near = said_day(starts.date(), now.date())
        return f"at {starts:%H:%M}" if near == "today" else f"{near} at {starts:%H:%M}"

    @property
    def url(self) -> str:
        """The planned frame's page; of a frame the plan found threaded, the page where it is hung."""
        if self.planned:
            return reverse("dip_plan_frame", args=[self.planned.pk])
        if self.frame.state == HANGING:
            return self.frame.get_absolute_url()
        return f"{reverse('hang', args=[self.carousel_pk])}?frame={self.frame.pk}&position={self.position}"

    @property
    def stamp(self) -> str:
        """Changes when something else is next, or is threaded, or its time has come."""
        who = f"p{self.planned.pk}" if self.planned else ""
        return f"{who}f{self.frame.pk if self.frame else 0}{'now' if self.starts <= self.today else ''}"


def next_to_hang(read: Read, now: datetime) -> list[Next]:
    """For each vat of the plan, what hangs over it next; the soonest first. Two queries."""
    found: dict[int, Next] = {}
    for hanging, each in _waiting(read, now):
        found.setdefault(hanging.vat, each)
    return list(found.values())


def next_on_carousel(now: datetime | None = None) -> dict[int, Next]:
    """By carousel, what the plan that stands hangs on it next. Three queries, two more when the plan is a new one."""
    row = standing_plan()
    read = read_plan(row) if row else None
    return {each.carousel_pk: each for each in next_to_hang(read, now or timezone.now())} if read else {}


def _waiting(read: Read, now: datetime) -> Iterator[tuple[Hanging, Next]]:
    """Frames of the plan that do not hang yet where it has them, in their order."""
    problem = read.problem
    planned = {row.number: row for row in _planned(read)}
    keys = [started.key for started in problem.started if started.vat < 0]
    frames = (
        Frame.objects.filter(pk__in=keys, state__in=(THREADED, HANGING)).select_related("candle__colour").in_bulk()
    )
    for hanging in sorted(read.plan.hangings, key=lambda each: (each.starts, each.frame)):
        if hanging.stage:
            continue
        row = planned.get(hanging.frame) if hanging.started < 0 else None
        frame = row.frame if row else (hanging.started >= 0 and _still_to_move(read, hanging, frames)) or None
        if row is None and frame is None:
            continue
        vat = problem.vats[hanging.vat]
        yield (
            hanging,
            Next(
                candle=(row or frame).candle,
                pairs=row.pairs if row else frame.hung,
                vat=vat.name,
                carousel=vat.carousel,
                carousel_pk=_carousel(problem, hanging),
                position=hanging.position + 1,
                starts=moment_of(problem.days, hanging.starts),
                today=now,
                frame=frame,
                planned=row,
            ),
        )


def _planned(read: Read) -> QuerySet[PlannedFrame]:
    rows = PlannedFrame.objects.filter(Q(frame=None) | Q(frame__state=THREADED), plan=read.row)
    return rows.select_related("candle__colour", "candle__wax", "frame")


def _still_to_move(read: Read, hanging: Hanging, frames: dict[int, Frame]) -> Frame | None:
    """The frame that waited when the plan began, unless it hangs meanwhile where the plan has it."""
    frame = frames.get(read.problem.started[hanging.started].key)
    if frame is None or frame.state == THREADED:
        return frame
    there = (_carousel(read.problem, hanging), hanging.position + 1)
    return None if (frame.carousel_id, frame.position) == there else frame


def _carousel(problem: Problem, hanging: Hanging) -> int:
    """The key of the carousel that turns over the vat it hangs over."""
    return int(problem.names.get(f"carousel:{problem.vats[hanging.vat].key}", 0))
