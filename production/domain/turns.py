"""Turns and what is done to frames between them: dips counted by tap or by the clock, readings, stages.

The clock is settled whenever somebody looks or acts: whole turn times that have passed in working hours since
`clock_from` become turns, each at the minute it was done. Nothing runs in the background.
"""

from datetime import datetime
from decimal import Decimal
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from production.clock import turns_done_at
from production.domain.fits import enter_next_stage, recipe_of, stage_of, why_not_over
from production.domain.levels import fall_mm
from production.domain.steps import MOST_DIPS, Doing, done_before, lock_hanging, lock_run, refuse_ended, run_at
from production.gauging import refuse_reading
from production.growth import Reading
from production.models import DipRun, Frame, GaugeReading, Step
from production.models.frame import HANGING
from production.models.run import BY_CLOCK
from production.queries.growing import Growing, growing_of
from production.queries.hours import working_hours
from production.queries.wax import hung_of
from production.wax_use import turn_mass_g

MOST_MM = Decimal("300")


def dipping(frames: list[Frame]) -> list[Frame]:
    """Those of the frames that the next turn dips: all that hang but those marked done."""
    return [frame for frame in frames if frame.state == HANGING and not frame.done]


@transaction.atomic
def count_turn(*, run: DipRun, by, tap: UUID | None = None, now: datetime | None = None) -> Step:
    """One turn: every hung frame that is not done is dipped once. A frame that has had its finish dips is done.

    ValidationError where the run was ended or rests, and where nothing hangs that wants dipping.
    """
    now = now or timezone.now()
    run = lock_run(run.pk)
    frames = lock_hanging(run.carousel_id)
    if done := done_before(tap):
        return done
    refuse_ended(run)
    if run.resting:
        raise ValidationError(f"Run {run} rests: resume it first. This turn was not counted.")
    settle(run, frames, now)
    if not dipping(frames):
        raise ValidationError("Every frame that hangs is done: hang another, or take them off.")
    doing = Doing(run, frames, note_dips=True)
    fell = turn(doing, growing_of(dipping(frames)))
    if run.counting == BY_CLOCK:
        run.clock_from = now
    step = doing.step("turn", by=by, at=now, tap=tap, fell_mm=fell)
    doing.write()
    return step


def turn(doing: Doing, growing: dict[int, Growing]) -> str:
    """Count one turn in the rows in hand; how far it brings the level down (mm), which is done when they are written.

    ValidationError where a counter runs over: nobody dips a candle so often.
    """
    dipped = dipping(list(doing.frames.values()))
    grams = turn_mass_g(hung_of(growing[frame.pk] for frame in dipped if frame.pk in growing))
    fell = fall_mm(doing.run.vat, grams)
    doing.fell_mm += fell
    doing.run.turns += 1
    for frame in dipped:
        if frame.dips >= MOST_DIPS:
            raise ValidationError(f"{frame.code} would have more than {MOST_DIPS} dips: set the floor right.")
        frame.dips += 1
        frame.stage_dips += 1
        doing.dip(frame)
        finish = growing[frame.pk].stage.finish_dips if frame.pk in growing else 0
        if finish and frame.stage_dips >= finish:
            frame.done = True
    return str(fell)


def settle(run: DipRun, frames: list[Frame], now: datetime) -> int:
    """Count what the clock has counted since `clock_from`, in the (locked) rows; how many turns. Whoever began is on
    record for them. Turns in which nothing would be dipped pass uncounted.
    """
    if run.counting != BY_CLOCK or run.resting or run.ended_at or run.clock_from is None:
        return 0
    done_at = _turns_by_clock(run, now)
    if not done_at:
        return 0
    doing = Doing(run, frames, note_dips=True)
    growing = growing_of(frames)
    by = run.steps.filter(kind__in=("begin", "resume", "set right")).select_related("person").first()
    counted = 0
    for at in done_at:
        run.clock_from = at
        if dipping(frames) and all(frame.dips < MOST_DIPS for frame in dipping(frames)):
            fell = turn(doing, growing)
            doing.step("turn", by=by.person if by else run.started_by, at=at, fell_mm=fell, clock=True)
            counted += 1
    doing.write()
    return counted


def _turns_by_clock(run: DipRun, now: datetime) -> list[datetime]:
    """The moments at which the clock's turns were done, up to now. A turn is not cut by closing time."""
    hours, found, at = working_hours(), [], run.clock_from
    while (at := turns_done_at(at, 1, run.turn_minutes, hours)) and at <= now:
        found.append(at)
    return found


@transaction.atomic
def settle_clock(run: DipRun, now: datetime | None = None) -> int:
    """Bring a run that counts by the clock up to `now`; the turns counted. For whoever only looks. Idempotent."""
    now = now or timezone.now()
    if run.counting != BY_CLOCK or run.resting or run.ended_at or run.clock_from is None:
        return 0
    if not _turns_by_clock(run, now):
        return 0
    run = lock_run(run.pk)
    return settle(run, lock_hanging(run.carousel_id), now)


@transaction.atomic
def mark_done(*, frame: Frame, done: bool = True, by, tap: UUID | None = None, now: datetime | None = None) -> Step:
    """At gauge: the frame is not dipped any more while it hangs. `done` False takes that back."""

    def change(frame: Frame, run: DipRun) -> None:
        if frame.done == done:
            raise ValidationError(f"{frame.code} {'is marked done' if done else 'is dipped'} already.")
        frame.done = done

    return _of_frame("mark done", change, frame, by=by, tap=tap, now=now)


@transaction.atomic
def next_stage(*, frame: Frame, by, tap: UUID | None = None, now: datetime | None = None) -> Step:
    """The frame enters the next stage of its recipe over the vat it hangs at. ValidationError where there is none, or
    that vat holds another wax or colour: then the carousel is moved.
    """

    def change(frame: Frame, run: DipRun) -> None:
        frame.done = True
        if not enter_next_stage(frame):
            raise ValidationError(f"{frame.code} is in the last stage of its recipe: mark it done, or take it off.")
        if why := why_not_over(run.vat, frame, stage_of(frame)):
            raise ValidationError(why)

    return _of_frame("next stage", change, frame, by=by, tap=tap, now=now)


def _of_frame(kind: str, change, frame: Frame, *, by, tap: UUID | None, now: datetime | None) -> Step:
    now = now or timezone.now()
    if done := done_before(tap):
        return done
    run = _run_of(frame)
    frames = lock_hanging(run.carousel_id)
    if done := done_before(tap):
        return done
    settle(run, frames, now)
    frame = next((each for each in frames if each.pk == frame.pk), None)
    if frame is None:
        raise ValidationError("The frame was taken off just now.")
    doing = Doing(run, [frame])
    change(frame, run)
    step = doing.step(kind, frame=frame, by=by, at=now, tap=tap)
    doing.write()
    return step


@transaction.atomic
def read_gauge(
    *,
    frame: Frame,
    mm: Decimal,
    by,
    tap: UUID | None = None,
    replaces_last: bool = False,
    now: datetime | None = None,
) -> Step:
    """Keep the measured base diameter of a hanging frame. `replaces_last`: the reading before it was wrong.

    ValidationError for what no candle measures (nought, 400 mm) and for one thinner than the last reading. A reading
    out of line is kept: it may be true, and the page says why it matters.
    """
    now = now or timezone.now()
    if done := done_before(tap):
        return done
    run = _run_of(frame)
    frames = lock_hanging(run.carousel_id)
    if done := done_before(tap):
        return done
    frame = next((each for each in frames if each.pk == frame.pk), None)
    if frame is None:
        raise ValidationError("The frame was taken off just now.")
    settle(run, frames, now)
    stands = list(frame.readings.standing().order_by("dips", "pk"))
    wrong = stands.pop() if replaces_last and stands else None
    check_reading(frame, mm, stands)
    if wrong:
        strike_out(wrong, by=by, now=now)
    reading = keep_reading(frame, run, mm, by, now)
    doing = Doing(run, [frame])
    struck = {"struck": wrong.pk} if wrong else {}
    step = doing.step("reading", frame=frame, by=by, at=now, tap=tap, readings=[reading.pk], **struck)
    doing.write()
    return step


def _run_of(frame: Frame) -> DipRun:
    """The run whose carousel the frame hangs on, locked and still on."""
    frame = Frame.objects.get(pk=frame.pk)
    run = run_at(frame.carousel_id)
    if frame.state != HANGING or run is None:
        raise ValidationError(f"{frame.code} hangs on no carousel: it is {frame.get_state_display()}.")
    run = lock_run(run.pk)
    refuse_ended(run)
    return run


def check_reading(frame: Frame, mm: Decimal, stands: list[GaugeReading], field: str = "mm") -> None:
    """ValidationError at the field for a diameter this frame cannot have now, after the readings that stand."""
    mm = Decimal(mm)
    if not mm.is_finite() or not 0 < mm < MOST_MM:
        raise ValidationError({field: f"A base diameter in mm, above 0 and below {MOST_MM}."})
    recipe = recipe_of(frame.candle)
    earlier = [Reading(row.dips, row.mm) for row in stands]
    if why := refuse_reading(Reading(frame.dips, mm), earlier, recipe.start_mm, recipe.gauge_high_mm):
        raise ValidationError({field: why})


def keep_reading(frame: Frame, run: DipRun, mm: Decimal, by, now: datetime) -> GaugeReading:
    return GaugeReading.objects.create(
        frame=frame, run=run, stage=frame.stage, dips=frame.dips, mm=mm, person=by, at=now
    )


def strike_out(reading: GaugeReading, *, by, now: datetime) -> None:
    """Readings are never changed: a later row names the wrong one."""
    GaugeReading.objects.create(
        frame=reading.frame,
        run=reading.run,
        stage=reading.stage,
        dips=reading.dips,
        mm=reading.mm,
        voids=reading,
        person=by,
        at=now,
    )
