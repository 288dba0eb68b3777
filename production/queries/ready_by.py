"""When the pairs of a frame will be ready: its dips left at the present turn time, its hardening, the hours worked."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

from django.utils import timezone

from production.clock import WorkingHours, turns_done_at
from production.models import DipRun, Frame
from production.models.frame import HANGING, OFF
from production.queries.growing import Growing, growing_of
from production.queries.hours import working_hours

MOST_AHEAD = timedelta(days=400)


@dataclass(frozen=True)
class Outlook:
    """What is left for a frame. `dips`: likely dips over all its stages, None where nobody can tell yet.

    `ready` is the local day on which it can be graded, at the likeliest; None with `dips`. `running`: a run turns it.
    """

    frame: Frame
    dips: int | None
    ready: date | None
    running: bool
    hard: bool = False

    @property
    def words(self) -> str:
        return self.in_words(timezone.localdate())

    def in_words(self, today: date) -> str:
        """ "6 dips left, ready about Thursday 3 Dec"; of one not hung, or hardening, what it waits for."""
        if self.hard:
            return "hard, waits to be graded"
        when = f"ready about {_day_in_words(self.ready, today)}" if self.ready else ""
        if self.frame.state == OFF:
            return f"hardening, {when}"
        if self.frame.state != HANGING:
            return f"threaded, not hung yet{f'; if it is hung now, {when}' if when else ''}"
        if self.dips is None:
            return "nobody can tell yet when: it has no recipe, or needs a reading"
        left = "at gauge" if not self.dips else f"{self.dips} dip{'' if self.dips == 1 else 's'} left"
        return f"{left}{', resting' if self.dips and not self.running else ''}, {when}"


def _day_in_words(day: date, today: date) -> str:
    year = f" {day.year}" if day.year != today.year else ""
    return f"{day:%A} {day.day} {day:%b}{year}"


def outlooks(frames: Iterable[Frame], now: datetime | None = None) -> dict[int, Outlook]:
    """By frame. Eight queries, however many frames, two more as `growing_of` has it; fewer where none hangs."""
    frames = list(frames)
    if not frames:
        return {}
    now, hours = now or timezone.now(), working_hours()
    # One that hardens grows no more.
    growing = growing_of(frame for frame in frames if frame.state != OFF)
    carousels = {frame.carousel_id for frame in frames if frame.carousel_id}
    runs = {run.carousel_id: run for run in DipRun.objects.filter(ended_at=None, carousel__in=carousels)}
    return {
        frame.pk: _outlook(frame, growing.get(frame.pk), runs.get(frame.carousel_id), hours, now) for frame in frames
    }


def _outlook(frame: Frame, growing: Growing | None, run: DipRun | None, hours, now: datetime) -> Outlook:
    if frame.state == OFF:
        hard_at = frame.hard_at or frame.off_at
        return Outlook(frame, 0, _worked_day(max(hard_at, now), hours), False, hard_at <= now)
    turning = run is not None and not run.resting
    dips = growing.left_in_all[0] if growing else None
    if dips is None:
        return Outlook(frame, None, None, turning)
    minutes = run.turn_minutes if run else growing.stage.turn_minutes
    done_at = turns_done_at(now.astimezone(UTC), dips, minutes, hours)
    if done_at is None or done_at - now > MOST_AHEAD:
        return Outlook(frame, dips, None, turning)
    hard_at = done_at + timedelta(hours=growing.recipe.harden_hours)
    return Outlook(frame, dips, _worked_day(hard_at, hours), turning)


def _worked_day(moment: datetime, hours: WorkingHours | None) -> date:
    """The local day, or the next one that is worked: a frame that is hard on Sunday is graded on Monday."""
    day = timezone.localdate(moment)
    if hours is None:
        return day
    ahead = (day + timedelta(days=n) for n in range(60))
    return next((each for each in ahead if (on := hours.on(each)) and on[1] > moment), day)
