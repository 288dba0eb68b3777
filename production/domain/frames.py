"""Frames: threaded for a candle, hung on a carousel, taken off again.

Every change of a hanging frame is a step of its carousel's run, so that it can be undone.
"""

from datetime import datetime, timedelta
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import Sum
from django.utils import timezone

from inventory.domain.records import record
from inventory.words import counted, in_pairs
from production.domain.dip_plan.adopt import adopt, give_back, lock_standing
from production.domain.drawing import draw_wick
from production.domain.fits import enter_next_stage, recipe_of, stage_of, why_not_over
from production.domain.steps import Doing, done_before, lock_hanging, lock_run, refuse_ended, run_at
from production.domain.wants import lock_wants
from production.models import Carousel, DipRun, Frame, HungFor, PlannedFrame, Step
from production.models.frame import HANGING, OFF, SCRAPPED, THREADED
from production.queries.firsts import firsts_expected
from production.queries.on_floor import on_floor_by_want

MOST_PAIRS = 500  # on one frame: more than any bar carries
MOST_TRIES = 5


@transaction.atomic
def thread_frame(
    *,
    candle,
    kind,
    hung: int,
    wants: dict | None,
    by,
    planned: PlannedFrame | None = None,
    now: datetime | None = None,
) -> Frame:
    """A frame threaded with `hung` pairs of wicks. `wants`: want (row or key) -> pairs of firsts; None: for the shelf.
    It takes the place of the `planned` one, else of the plan's next frame of the candle.

    It is never hung for more than the firsts expected of it at the workshop's confidence, nor for more of a want than
    nothing hangs for yet. ValidationError at the field otherwise. Codes run F1, F2, ...
    """
    recipe_of(candle)
    if not isinstance(hung, int) or not 1 <= hung <= MOST_PAIRS:
        raise ValidationError({"hung": f"Between 1 and {MOST_PAIRS} pairs."})
    promised, plan = _promised(wants), lock_standing()
    _check_wants(candle, promised)
    expected = _expected(candle, hung, promised)
    frame = _save_new(
        Frame(
            kind=kind,
            candle=candle,
            hung=hung,
            hung_for=sum(promised.values()),
            expected=expected,
            threaded_at=now or timezone.now(),
            threaded_by=by,
        )
    )
    HungFor.objects.bulk_create(HungFor(frame=frame, want_id=want, pairs=promised[want]) for want in sorted(promised))
    adopt(plan, frame, planned)
    what = f"Threaded with {in_pairs(hung)} of {candle}, {frame.hung_for} of them for orders."
    record(subject="frame", subject_id=frame.pk, what=what, by=by)
    draw_wick(frame, by=by)
    return frame


def _promised(wants: dict | None) -> dict[int, int]:
    """By the want's key: pairs above nought."""
    promised = {getattr(want, "pk", want): pairs for want, pairs in (wants or {}).items()}
    if any(pairs < 0 for pairs in promised.values()):
        raise ValidationError({"wants": "Pairs are never below nought."})
    return {want: pairs for want, pairs in promised.items() if pairs}


def _expected(candle, hung: int, promised: dict[int, int]) -> int:
    """Firsts counted on. ValidationError where more are promised."""
    expected = firsts_expected(candle.pk, hung)
    if sum(promised.values()) > expected:
        raise ValidationError(
            {
                "wants": f"{in_pairs(hung)} hung are counted on for {counted(expected, 'first')}, and "
                f"{sum(promised.values())} are asked of them: hang fewer for the orders, or another frame."
            }
        )
    return expected


def _check_wants(candle, promised: dict[int, int]) -> None:
    locked = lock_wants(promised)
    hangs = on_floor_by_want(promised) if promised else {}
    for key, pairs in promised.items():
        want = locked.get(key)
        if want is None:
            raise ValidationError({"wants": "Somebody no longer needs these pairs: look at the list again."})
        if want.candle_id != candle.pk:
            raise ValidationError({"wants": f"{want.for_whom} wants another candle."})
        if pairs > (left := max(0, want.pairs - hangs.get(key, 0))):
            raise ValidationError({"wants": f"{want.for_whom} waits for {in_pairs(left)} more, not for {pairs}."})


def next_frame_code() -> str:
    """ "F8" after "F7". Two who ask at once get the same; _save_new asks again."""
    codes = Frame.objects.filter(code__startswith="F").values_list("code", flat=True)
    return f"F{max((int(code[1:]) for code in codes if code[1:].isdecimal()), default=0) + 1}"


def _save_new(frame: Frame) -> Frame:
    for _ in range(MOST_TRIES):
        frame.code = next_frame_code()
        try:
            with transaction.atomic():
                frame.save(force_insert=True)
            return frame
        except IntegrityError:
            if not Frame.objects.filter(code=frame.code).exists():
                raise
    raise ValidationError("Many frames are being threaded at this moment; please send it again.")


@transaction.atomic
def hang_frame(
    *, frame: Frame, carousel: Carousel, position: int, by, tap: UUID | None = None, now: datetime | None = None
) -> Step:
    """Hang a threaded frame (new, or set aside half dipped) on a free position of a carousel with a run on it. One
    that was set aside done with its stage enters the next.

    ValidationError: no run, position taken, frame hung elsewhere, or a vat of another wax, too shallow or too low.
    """
    run = open_run(carousel)
    frames = lock_hanging(carousel.pk, frame.pk)
    if done := done_before(tap):
        return done
    frame = next(each for each in frames if each.pk == frame.pk)
    if frame.state != THREADED:
        raise ValidationError({"frame": _where(frame)})
    if not 1 <= position <= carousel.positions:
        raise ValidationError({"position": f"{carousel} has positions 1 to {carousel.positions}."})
    if taken := next((each for each in frames if each.position == position), None):
        raise ValidationError({"position": f"{taken.code} hangs at position {position} already."})
    doing = Doing(run, [frame], note_dips=True)
    enter_next_stage(frame)
    if not frame.done and (why := why_not_over(run.vat, frame, stage_of(frame))):
        raise ValidationError({"frame": why})
    frame.state, frame.carousel, frame.position = HANGING, carousel, position
    doing.dip(frame, 0)
    step = doing.step("hang", frame=frame, by=by, at=now or timezone.now(), tap=tap)
    doing.write()
    return step


def _where(frame: Frame) -> str:
    """Why a frame that is not threaded cannot be hung."""
    if frame.state == HANGING:
        return f"{frame.code} hangs on {frame.carousel} at position {frame.position} already."
    return f"{frame.code} is {frame.get_state_display()}: it cannot be hung again."


def open_run(carousel: Carousel) -> DipRun:
    """The carousel's run, locked. ValidationError where none is on."""
    run = DipRun.objects.filter(carousel=carousel, ended_at=None).first()
    if run is None:
        raise ValidationError(f"No run is on at {carousel}: begin one over a vat first.")
    run = lock_run(run.pk)
    refuse_ended(run)
    return run


@transaction.atomic
def take_off(*, frame: Frame, finished: bool = True, by, tap: UUID | None = None, now: datetime | None = None) -> Step:
    """Take a frame off its carousel. `finished`: it hardens from now by its recipe; else it is hung again later.

    Works after its run was ended too: what hangs has to come down. ValidationError where it does not hang, and for a
    finished one that was never dipped.
    """
    if done := done_before(tap):
        return done
    now = now or timezone.now()
    hung = Frame.objects.get(pk=frame.pk)
    run = run_at(hung.carousel_id)
    if hung.state != HANGING or run is None:
        raise ValidationError(f"{hung.code} hangs on no carousel: it is {hung.get_state_display()}.")
    run = lock_run(run.pk)
    frame = next(each for each in lock_hanging(run.carousel_id, frame.pk) if each.pk == frame.pk)
    if done := done_before(tap):
        return done
    if frame.state != HANGING:
        raise ValidationError(f"{frame.code} was taken off just now.")
    if finished and not frame.dips:
        raise ValidationError(f"{frame.code} was never dipped: set it aside to be hung again.")
    doing = Doing(run, [frame])
    frame.carousel = frame.position = None
    if finished:
        frame.state, frame.done, frame.off_at = OFF, True, now
        frame.hard_at = now + timedelta(hours=recipe_of(frame.candle).harden_hours)
    else:
        frame.state = THREADED
    step = doing.step("take off", frame=frame, by=by, at=now, tap=tap)
    doing.write()
    return step


@transaction.atomic
def scrap_frame(*, frame: Frame, reason: str, by) -> Frame:
    """A frame that hangs nowhere and will not be finished. What it was hung for is wanted again; its wick is spent."""
    frame = Frame.objects.select_for_update().get(pk=frame.pk)
    if frame.state != THREADED:
        raise ValidationError(f"{frame.code} is {frame.get_state_display()}: only a frame off the carousel goes.")
    if not reason.strip():
        raise ValidationError({"reason": "Say why."})
    lost = frame.promises.aggregate(pairs=Sum("pairs", default=0))["pairs"]
    frame.promises.all().delete()
    give_back(frame)
    frame.state, frame.hung_for = SCRAPPED, 0
    frame.version += 1
    frame.save(update_fields=["state", "hung_for", "version"])
    what = f"Scrapped: {reason.strip()} {in_pairs(lost)} are wanted again."
    record(subject="frame", subject_id=frame.pk, what=what, by=by)
    return frame
