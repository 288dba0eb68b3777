"""Set the floor right: after hours off the book somebody enters what hangs now, and the differences are kept.

One step: every figure that differs goes to what was seen, with the reason given; undoing it puts all back.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from inventory.domain.records import record
from inventory.words import counted, measure
from production.domain.fits import recipe_of
from production.domain.steps import MOST_DIPS, Doing, done_before, lock_hanging, lock_run, refuse_ended
from production.domain.turns import check_reading, keep_reading, settle
from production.models import DipRun, Frame, Step
from production.models.frame import HANGING, OFF, THREADED
from production.queries.growing import Growing, growing_of


@dataclass(frozen=True)
class Seen:
    """What hangs at a position: the frame, its dips (None: reckon them from the gauge), its gauge in mm (None: not
    measured), and whether it is done.
    """

    position: int
    frame: Frame
    dips: int | None = None
    mm: Decimal | None = None
    done: bool = False


@transaction.atomic
def set_right(
    *,
    run: DipRun,
    hangs: list[Seen],
    reason: str,
    turns: int | None = None,
    by,
    tap: UUID | None = None,
    now: datetime | None = None,
) -> Step:
    """Make the book say what hangs now. What no longer hangs is off: hardening if it was done, else set aside.

    `turns` of the run, None to leave them. ValidationError: no reason, a frame twice, one that hangs elsewhere or is
    finished, a position the carousel has not, dips or a gauge nobody believes; nothing has changed then.
    """
    now = now or timezone.now()
    run = lock_run(run.pk)
    if done := done_before(tap):
        return done
    refuse_ended(run)
    reason = reason.strip()
    _check(run, hangs, reason)
    rows = {frame.pk: frame for frame in lock_hanging(run.carousel_id, *(seen.frame.pk for seen in hangs))}
    settle(run, list(rows.values()), now)
    doing = Doing(run, list(rows.values()), note_dips=True)
    growing = growing_of(rows.values())
    told = _down(rows, {seen.frame.pk for seen in hangs}, now)
    for seen in hangs:
        told += _up(doing, rows[seen.frame.pk], seen, growing.get(seen.frame.pk))
    if turns is not None and turns != run.turns:
        told.append(f"turn {turns}, not {run.turns}")
        run.turns = turns
    readings = [keep_reading(rows[seen.frame.pk], run, seen.mm, by, now).pk for seen in hangs if seen.mm is not None]
    if not told and not readings:
        raise ValidationError("The book says the same: nothing to set right.")
    step = doing.step("set right", by=by, at=now, tap=tap, reason=reason, readings=readings, differences=told)
    doing.write()
    what = f"Set right ({reason}): {'; '.join(told) or counted(len(readings), 'gauge reading')}."
    record(subject="run", subject_id=run.pk, what=what, by=by)
    return step


def _check(run: DipRun, hangs: list[Seen], reason: str) -> None:
    if not reason:
        raise ValidationError({"reason": "Say why the book was wrong: it is kept with the differences."})
    for what, found in (("Position", [seen.position for seen in hangs]), ("", [seen.frame.code for seen in hangs])):
        if twice := {str(each) for each in found if found.count(each) > 1}:
            raise ValidationError(f"{f'{what} {min(twice)}'.strip()} stands there twice.")
    for seen in hangs:
        if not 1 <= seen.position <= run.carousel.positions:
            raise ValidationError(f"{run.carousel} has positions 1 to {run.carousel.positions}.")
        if seen.dips is not None and not 0 <= seen.dips <= MOST_DIPS:
            raise ValidationError({f"dips_{seen.position}": f"Between 0 and {MOST_DIPS} dips."})


def _down(rows: dict[int, Frame], seen: set[int], now: datetime) -> list[str]:
    """What hung by the book and is not there: taken off."""
    told = []
    for frame in rows.values():
        if frame.pk in seen:
            continue
        frame.carousel_id = frame.position = None
        if frame.done:
            frame.state, frame.off_at = OFF, now
            frame.hard_at = now + timedelta(hours=recipe_of(frame.candle).harden_hours)
        else:
            frame.state = THREADED
        told.append(f"{frame.code} {'off, hardening' if frame.done else 'set aside'}")
    return told


def _up(doing: Doing, frame: Frame, seen: Seen, growing: Growing | None) -> list[str]:
    """The frame as it was seen; what differs, in words."""
    if frame.state not in (HANGING, THREADED) or frame.carousel_id not in (None, doing.run.carousel_id):
        raise ValidationError(f"{frame.code} is {frame.get_state_display()} elsewhere: take it off there first.")
    if growing is None:
        recipe_of(frame.candle)
    dips = _dips(frame, seen, growing)
    told = []
    if frame.position != seen.position:
        told.append(f"{frame.code} at position {seen.position}")
    if dips != frame.dips:
        told.append(f"{frame.code} {dips} dips, not {frame.dips}")
    if seen.done != frame.done:
        told.append(f"{frame.code} {'done' if seen.done else 'not done'}")
    more = dips - frame.dips
    doing.dip(frame, more)
    frame.state, frame.carousel, frame.position = HANGING, doing.run.carousel, seen.position
    frame.dips, frame.stage_dips, frame.done = dips, max(0, frame.stage_dips + more), seen.done
    if seen.mm is not None:
        check_reading(frame, seen.mm, list(frame.readings.standing()), field=f"mm_{seen.position}")
        told.append(f"{frame.code} {measure(seen.mm)} mm")
    return told


def _dips(frame: Frame, seen: Seen, growing: Growing | None) -> int:
    """The dips seen; where only the gauge was measured, those that its growth would have taken to get there."""
    if seen.dips is not None or seen.mm is None or growing is None:
        return frame.dips if seen.dips is None else seen.dips
    line = growing.line
    by_gauge = round(line.pivot + (float(seen.mm) - line.mm) / line.growth) if line.growth > 0 else frame.dips
    return min(MOST_DIPS, max(frame.dips - frame.stage_dips, by_gauge))
