"""What pages read besides the plan itself: when it hangs a candle, how a trial stands."""

from collections import defaultdict
from collections.abc import Iterable

from django.urls import reverse
from django.utils import timezone

from inventory.models import Candle
from inventory.words import counted
from production.domain.dip_plan.days import AFTERNOON, MORNING, NOON
from production.models import Frame, PlannedFrame, PlanSearch
from production.models.plan import FOUND, WAITING, WORKING
from production.plan_words import short_day
from production.queries.dip_plan import state_of
from production.queries.planned import TO_HANG

MOST_DIGITS = 9  # of a key in an address


def planned_days(candles: Iterable[Candle]) -> dict[int, list[PlannedFrame]]:
    """By candle, frames the plan that stands still has to hang, in their order. One query."""
    found = defaultdict(list)
    rows = TO_HANG.filter(candle__in=[candle.pk for candle in candles])
    for row in rows.select_related("vat").order_by("starts", "number"):
        found[row.candle_id].append(row)
    return found


def hangs_first(rows: list[PlannedFrame]) -> str:
    """ "3 frames, the first Thu 26 Nov, 08:12"."""
    starts = timezone.localtime(rows[0].starts)
    first = f"{short_day(starts.date())}, {starts:%H:%M}"
    return f"1 frame, {first}" if len(rows) == 1 else f"{counted(len(rows), 'frame')}, the first {first}"


def planned_to_thread(key: str, candle: Candle) -> PlannedFrame | None:
    """The frame of the plan that stands with that key, as an address has it; None where it is not of the candle, or is
    threaded.
    """
    if not key.isdecimal() or len(key) > MOST_DIGITS:
        return None
    return TO_HANG.filter(candle=candle, pk=int(key)).first()


def planned_place(planned: PlannedFrame, frame: Frame) -> str:
    """Where the frame that took the planned one's place is hung."""
    return f"{reverse('hang', args=[planned.carousel_id])}?frame={frame.pk}&position={planned.position}"


def half_of(row: PlannedFrame) -> int:
    """The half-day a planned frame is hung in, as pins count them: 1 before noon, 2 after."""
    return MORNING if timezone.localtime(row.starts).time() < NOON else AFTERNOON


def state_in_words(search: PlanSearch) -> str:
    """How a trial in a list stands."""
    return {FOUND: "done", WAITING: "waits", WORKING: "is worked out"}.get(state_of(search), state_of(search))
