"""Dip runs: begun over a vat, rested over night, moved to another vat, ended. Minutes a turn; times are aware.

A run's turns count by tap, or by the clock while it is on and the workshop works: see production.domain.turns.
"""

from datetime import datetime
from decimal import Decimal
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from inventory.words import counted
from production.domain.fits import enter_next_stage, stage_of, why_not_over
from production.domain.steps import Doing, done_before, lock_hanging, lock_run, refuse_ended
from production.domain.turns import settle
from production.models import Carousel, DipRun, Frame, Step, Vat
from production.models.run import BY_CLOCK, BY_TAP

LEAST_MINUTES, MOST_MINUTES = Decimal("1"), Decimal("240")  # a turn: a minute to set (TRADE D6), half a day at most


@transaction.atomic
def begin_run(
    *,
    carousel: Carousel,
    vat: Vat,
    turn_minutes: Decimal,
    counting: str = BY_TAP,
    by,
    tap: UUID | None = None,
    now: datetime | None = None,
) -> DipRun:
    """Put a carousel with what hangs on it over a vat. ValidationError: either is in another run, or a frame does not
    belong in that wax, that depth or that level; a turn outside 1 to 240 minutes.
    """
    if done := done_before(tap):
        return done.run
    check_pace(counting, turn_minutes)
    carousel = Carousel.objects.select_for_update().get(pk=carousel.pk)
    if running := DipRun.objects.select_related("vat").filter(carousel=carousel, ended_at=None).first():
        raise ValidationError(
            {"vat": f"{carousel} is over {running.vat} in run {running} already: end that run, or move it."}
        )
    frames = lock_hanging(carousel.pk)
    run = _open(carousel, vat, (counting, turn_minutes), frames, by=by, now=now or timezone.now())
    doing = Doing(run, frames)
    for frame in frames:
        doing.dip(frame, 0)
    doing.step("begin", by=by, at=run.started_at, tap=tap)
    doing.write()
    return run


def check_pace(counting: str, turn_minutes: Decimal) -> None:
    """ValidationError at the field for a way of counting or a turn time nobody dips by."""
    if counting not in (BY_CLOCK, BY_TAP):
        raise ValidationError({"counting": "By the clock or by tap."})
    if not Decimal(turn_minutes).is_finite() or not LEAST_MINUTES <= turn_minutes <= MOST_MINUTES:
        raise ValidationError({"turn_minutes": f"A turn takes {LEAST_MINUTES} to {MOST_MINUTES} minutes."})


def _open(carousel, vat: Vat, pace: tuple[str, Decimal], frames: list[Frame], *, by, now: datetime) -> DipRun:
    """A new run over the (then locked) vat; a run code nobody else takes meanwhile."""
    counting, turn_minutes = pace
    vat = Vat.objects.select_for_update(of=("self",)).select_related("wax", "colour").get(pk=vat.pk)
    if not carousel.active or not vat.active:
        raise ValidationError({"vat": f"{vat if carousel.active else carousel} is not in use."})
    if running := DipRun.objects.select_related("carousel").filter(vat=vat, ended_at=None).first():
        raise ValidationError({"vat": f"{running.carousel} turns over {vat} in run {running}: one carousel a vat."})
    # What is done hangs above the wax and is not dipped.
    dipped = [frame for frame in frames if not frame.done]
    if why := [said for frame in dipped if (said := why_not_over(vat, frame, stage_of(frame)))]:
        raise ValidationError({"vat": why})
    run = DipRun(
        carousel=carousel,
        vat=vat,
        wax=vat.wax,
        colour=vat.colour,
        turn_minutes=turn_minutes,
        counting=counting,
        clock_from=now if counting == BY_CLOCK else None,
        started_at=now,
        started_by=by,
    )
    for _ in range(5):
        run.code = next_run_code(now)
        try:
            with transaction.atomic():
                run.save(force_insert=True)
            return run
        except IntegrityError:
            if not DipRun.objects.filter(code=run.code).exists():
                raise ValidationError({"vat": "Somebody began a run here just now."}) from None
    raise ValidationError("Many runs are begun at this moment; please send it again.")


def next_run_code(now: datetime) -> str:
    """ "R2601": R, the year, and the run's number in it."""
    stem = f"R{timezone.localtime(now):%y}"
    codes = DipRun.objects.filter(code__startswith=stem).values_list("code", flat=True)
    numbers = [int(code.removeprefix(stem)) for code in codes if code.removeprefix(stem).isdecimal()]
    return f"{stem}{max(numbers, default=0) + 1:02d}"


@transaction.atomic
def move_run(*, run: DipRun, vat: Vat, by, tap: UUID | None = None, now: datetime | None = None) -> DipRun:
    """End the run and begin the next over another vat with everything that hangs. Frames done with their stage enter
    the next one. ValidationError where a frame does not belong in that vat; then nothing has moved.
    """
    now = now or timezone.now()
    carousel = Carousel.objects.select_for_update().get(pk=run.carousel_id)
    run = lock_run(run.pk)
    if done := done_before(tap):
        return done.run
    refuse_ended(run)
    frames = lock_hanging(carousel.pk)
    settle(run, frames, now)
    last = Doing(run, frames)
    run.ended_at, run.clock_from = now, None
    for frame in frames:
        enter_next_stage(frame)
    last.step("end", by=by, at=now, reason=f"moved over {vat}")
    last.write()
    new = _open(carousel, vat, (run.counting, run.turn_minutes), frames, by=by, now=now)
    doing = Doing(new, frames)
    for frame in frames:
        doing.dip(frame, 0)
    # Undoing this undoes the old run's end too.
    doing.step("begin", by=by, at=now, tap=tap, moved_from=run.pk)
    doing.write()
    return new


@transaction.atomic
def rest(*, run: DipRun, by, tap: UUID | None = None, now: datetime | None = None) -> Step:
    """Stop turning over night or over dinner: the clock counts nothing, no turn is taken."""
    return _change(run, "rest", by, tap, now)


@transaction.atomic
def resume(*, run: DipRun, by, tap: UUID | None = None, now: datetime | None = None) -> Step:
    """Turn again; the clock counts from now."""
    return _change(run, "resume", by, tap, now)


@transaction.atomic
def end_run(*, run: DipRun, by, tap: UUID | None = None, now: datetime | None = None) -> Step:
    """The run is over and its vat free. What still hangs is taken off, or goes into the carousel's next run."""
    return _change(run, "end", by, tap, now)


def _change(run: DipRun, kind: str, by, tap: UUID | None, now: datetime | None) -> Step:
    now = now or timezone.now()
    run = lock_run(run.pk)
    if done := done_before(tap):
        return done
    refuse_ended(run)
    if run.resting == (kind == "rest") and kind != "end":
        raise ValidationError(f"Run {run} {'rests already' if run.resting else 'is turning already'}.")
    settle(run, lock_hanging(run.carousel_id), now)
    doing = Doing(run, [])
    if kind == "end":
        run.ended_at, run.clock_from = now, None
    else:
        run.resting = kind == "rest"
        run.clock_from = now if kind == "resume" and run.counting == BY_CLOCK else None
    step = doing.step(kind, by=by, at=now, tap=tap)
    doing.write()
    return step


@transaction.atomic
def pace_run(
    *, run: DipRun, counting: str, turn_minutes: Decimal, by, tap: UUID | None = None, now: datetime | None = None
) -> Step:
    """From now on count by the clock or by tap, and so many minutes a turn."""
    now = now or timezone.now()
    check_pace(counting, turn_minutes)
    run = lock_run(run.pk)
    if done := done_before(tap):
        return done
    refuse_ended(run)
    settle(run, lock_hanging(run.carousel_id), now)
    doing = Doing(run, [])
    run.counting, run.turn_minutes = counting, turn_minutes
    run.clock_from = now if counting == BY_CLOCK and not run.resting else None
    said = (
        f"{counted(int(turn_minutes), 'minute') if turn_minutes == int(turn_minutes) else f'{turn_minutes} minutes'}"
    )
    step = doing.step("set right", by=by, at=now, tap=tap, reason=f"counts by {counting}, {said} a turn")
    doing.write()
    return step
