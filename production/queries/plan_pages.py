"""What the dip plan's pages read besides the plan itself: what hangs next, where, and when a candle hangs."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q
from django.utils import timezone

from inventory.models import Candle
from inventory.words import counted
from production.domain.dip_plan.days import AFTERNOON, MORNING, NOON
from production.models import Frame, PlannedFrame, PlanSearch
from production.models.frame import THREADED
from production.models.plan import FOUND, WAITING, WORKING
from production.plan_words import said_day, short_day
from production.queries.dip_plan import state_of


@dataclass(frozen=True)
class Next:
    """What is to be hung next over one vat, from one carousel. `threaded`: it waits, threaded already."""

    planned: PlannedFrame
    today: datetime

    @property
    def threaded(self) -> Frame | None:
        return self.planned.frame

    @property
    def stamp(self) -> str:
        """Changes when something else is next, or is threaded, or its time has come."""
        return f"p{self.planned.pk}.{self.planned.frame_id or 0}.{'now' if self.planned.starts <= self.today else ''}"

    @property
    def when(self) -> str:
        """ "at 10:40", "tomorrow at 08:00"; "now" where its time has come."""
        starts, now = timezone.localtime(self.planned.starts), timezone.localtime(self.today)
        if starts <= now:
            return "now"
        near = said_day(starts.date(), now.date())
        return f"at {starts:%H:%M}" if near == "today" else f"{near} at {starts:%H:%M}"


def next_to_hang(now: datetime | None = None) -> list[Next]:
    """For each vat of the plan that stands, what hangs over it next; the soonest first. One query."""
    now = now or timezone.now()
    return sorted(_first_by("vat_id", _to_hang(), now), key=lambda each: each.planned.starts)


def next_on_carousel(carousels: Iterable[int], now: datetime | None = None) -> dict[int, Next]:
    """By carousel, what the plan that stands hangs on it next. One query."""
    now = now or timezone.now()
    found = _first_by("carousel_id", _to_hang().filter(carousel__in=list(carousels)), now)
    return {each.planned.carousel_id: each for each in found}


def _to_hang():
    """Planned frames that do not hang yet, in their order."""
    waits = Q(frame=None) | Q(frame__state=THREADED)
    rows = PlannedFrame.objects.filter(waits, plan__stands=True).order_by("starts", "number")
    return rows.select_related("candle__colour", "candle__wax", "vat__colour", "carousel", "kind", "frame")


def _first_by(field: str, rows, now: datetime) -> list[Next]:
    found = {}
    for row in rows:
        found.setdefault(getattr(row, field), Next(row, now))
    return list(found.values())


def planned_days(candles: Iterable[Candle]) -> dict[int, list[PlannedFrame]]:
    """By candle, frames the plan that stands still has to hang, in their order. One query."""
    found = defaultdict(list)
    rows = PlannedFrame.objects.filter(plan__stands=True, frame=None, candle__in=[candle.pk for candle in candles])
    for row in rows.select_related("vat").order_by("starts", "number"):
        found[row.candle_id].append(row)
    return found


def hangs_first(rows: list[PlannedFrame]) -> str:
    """ "3 frames, the first Thu 26 Nov, 08:12"."""
    starts = timezone.localtime(rows[0].starts)
    first = f"{short_day(starts.date())}, {starts:%H:%M}"
    return f"1 frame, {first}" if len(rows) == 1 else f"{counted(len(rows), 'frame')}, the first {first}"


def half_of(row: PlannedFrame) -> int:
    """The half-day a planned frame is hung in, as pins count them: 1 before noon, 2 after."""
    return MORNING if timezone.localtime(row.starts).time() < NOON else AFTERNOON


def state_in_words(search: PlanSearch) -> str:
    """How a trial in a list stands."""
    return {FOUND: "done", WAITING: "waits", WORKING: "is worked out"}.get(state_of(search), state_of(search))
