"""Undoing the last step of a run: every figure goes back to exactly what it was.

A step keeps what each figure was and became. It is undone only where every figure still is what it became: a frame
that was graded meanwhile, or a position that was taken, is not pulled back.
"""

from datetime import datetime
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from inventory.domain.records import record
from production.domain.levels import lower_level
from production.domain.steps import FRAME_FIGURES, RUN_FIGURES, lock_hanging, lock_run, make_way, plain
from production.domain.turns import strike_out
from production.models import DipRun, Frame, GaugeReading, RunFrame, Step, VatReading

# The clock keeps running while a turn is undone, or it would count that turn again at once.
KEPT_BY_TURNS = {"turn": {"clock_from"}}
NAMES = {
    "begin": "the beginning of the run",
    "hang": "hanging {frame}",
    "take off": "taking {frame} off",
    "mark done": "the done mark of {frame}",
    "reading": "the reading of {frame}",
    "next stage": "the next stage of {frame}",
    "rest": "the rest",
    "resume": "the resuming",
    "end": "the end of the run",
    "set right": "setting right",
}
CHANGED_SINCE = "{what} changed since: this step cannot be undone any more. Set the floor right instead."


def last_step(run: DipRun) -> Step | None:
    """What undoing would undo next."""
    return run.steps.filter(undone=False).select_related("frame", "person").order_by("pk").last()


@transaction.atomic
def undo_step(*, step: Step, by, now: datetime | None = None) -> Step:
    """Undo the step, which must be the last of its run that stands. Undone already: nothing happens.

    ValidationError where somebody has done something since. What was undone stays on record with who undid it.
    """
    now = now or timezone.now()
    run = lock_run(step.run_id)
    step = Step.objects.select_related("frame", "person").get(pk=step.pk)
    if step.undone:
        return step
    last = last_step(run)
    if last.pk != step.pk:
        raise ValidationError(f"{last.person} did something since ({in_words(last)}): look before you undo.")
    _undo(run, step, by, now)
    if moved_from := step.before.get("moved_from"):
        old = lock_run(moved_from)
        _undo(old, last_step(old), by, now)
    what = f"Undone: {in_words(step)}, done by {step.person} at {timezone.localtime(step.at):%H:%M}."
    record(subject="run", subject_id=run.pk, what=what, by=by)
    return step


def in_words(step: Step) -> str:
    """A step as people name it: "turn 22", "the reading of F7", "the end of the run"."""
    if step.kind == "turn":
        return f"turn {step.turn}"
    return NAMES[step.kind].format(frame=step.frame)


def _undo(run: DipRun, step: Step, by, now: datetime) -> None:
    changed = step.before
    frames = {frame.pk: frame for frame in lock_hanging(run.carousel_id, *map(int, changed.get("frames", ())))}
    if step.kind == "begin":
        # The run was never on; the row stays, with nothing dipped in it.
        run.ended_at, run.clock_from = now, None
        run.save(update_fields=["ended_at", "clock_from"])
    _put_back(run, changed.get("run", {}), RUN_FIGURES, keep=KEPT_BY_TURNS.get(step.kind, set()))
    make_way(key for key, what in changed.get("frames", {}).items() if "position" in what)
    for key, figures in changed.get("frames", {}).items():
        _put_back(frames[int(key)], figures, FRAME_FIGURES)
    for key, (was, became) in changed.get("dipped", {}).items():
        _put_dips_back(run, int(key), was, became)
    if fell := changed.get("fell_mm"):
        _raise_level(run, step, Decimal(fell))
    _put_readings_back(changed, by, now)
    step.undone = True
    step.save(update_fields=["undone"])


def _put_back(row: DipRun | Frame, figures: dict, names, keep=frozenset()) -> None:
    for name, (was, became) in figures.items():
        if name in keep:
            continue
        # The clock moves on by itself while nothing hangs.
        if name != "clock_from" and plain(getattr(row, name)) != became:
            raise ValidationError(CHANGED_SINCE.format(what=row))
        setattr(row, name, row._meta.get_field(name.removesuffix("_id")).to_python(was))
    row.version += 1
    try:
        with transaction.atomic():
            row.save(update_fields=[*names, "version"])
    except IntegrityError:
        # A position that was taken, a vat or carousel that has another run by now.
        raise ValidationError(CHANGED_SINCE.format(what=row)) from None


def _put_dips_back(run: DipRun, frame: int, was: int | None, became: int) -> None:
    row = RunFrame.objects.filter(run=run, frame=frame).first()
    if row is None or row.dips != became:
        raise ValidationError(CHANGED_SINCE.format(what=run))
    if was is None:
        row.delete()
    else:
        row.dips = was
        row.save(update_fields=["dips"])


def _raise_level(run: DipRun, step: Step, fell: Decimal) -> None:
    """The wax was never taken. A level that was read since is the truth already."""
    read_since = VatReading.objects.filter(vat=run.vat_id, at__gte=step.at, level_mm__isnull=False)
    if not read_since.exclude(kind="top-up").exists():
        lower_level(run.vat, -fell)


def _put_readings_back(changed: dict, by, now: datetime) -> None:
    """Readings are append-only: one that was undone is struck out, one that it replaced is written down again."""
    for key in changed.get("readings", ()):
        strike_out(_standing(GaugeReading.objects.get(pk=key)), by=by, now=now)
    if struck := changed.get("struck"):
        wrong = GaugeReading.objects.get(pk=struck)
        GaugeReading.objects.create(
            frame_id=wrong.frame_id,
            run_id=wrong.run_id,
            stage=wrong.stage,
            dips=wrong.dips,
            mm=wrong.mm,
            person_id=wrong.person_id,
            at=wrong.at,
        )


def _standing(reading: GaugeReading) -> GaugeReading:
    """The row that says now what this one said: another, where it was struck out and written down again."""
    same = {name: getattr(reading, name) for name in ("frame_id", "stage", "dips", "mm", "person_id", "at")}
    return GaugeReading.objects.standing().filter(**same).order_by("pk").last() or reading
