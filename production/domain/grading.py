"""Grading: a finished, hardened frame is counted off into lots, and what it hung for is handed on.

Locks: order and line (by the listeners of grading_begins), want, frame, lot, material lot. The page starts from a
frame, so the wants are found first without a lock, everything above them is locked, and the frame is looked at again
once it is locked: where it hangs for a want that was not locked, everything is let go and taken once more.
"""

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from inventory.domain.lot_codes import lock_codes
from inventory.domain.lots import open_lot
from inventory.domain.records import record
from inventory.domain.versions import check_version
from inventory.models import FIRSTS, SECONDS, Lot
from production.domain.counting_off import CountedOff, clean_count
from production.domain.drawing import draw_wax
from production.domain.handing_on import hand_on
from production.domain.wants import lock_wants
from production.models import Frame, GradedFault, Grading, Want
from production.models.frame import GRADED, OFF
from production.queries.grading import latest_run
from production.signals import grading_begins

MOST_TRIES = 5
NOT_READY = "{frame} is {state}: only a frame that is finished and taken off can be graded."


class _Moved(Exception):
    """The frame hangs for a want that was promised after its wants were looked up."""


@transaction.atomic
def grade_frame(
    *, frame: Frame, version: int, firsts: int, seconds: dict[str, int], remelt: int, by, early: str = ""
) -> Grading:
    """Count a frame off in pairs: firsts, seconds {fault: pairs}, remelt; a pair with one bad candle is a second.

    Makes the lots and hands on what the frame hung for. Before it is hard it takes a reason (`early`), which goes on
    record: the recipe's hours are a habit, and the person at the frame can feel the wax. The same count sent twice by
    one person grades once. ValidationError (by field) where it does not add up to what was hung, the frame is not off,
    or somebody else has graded it; StaleVersion where the frame changed since `version`.
    """
    return locking_above(
        lambda: Want.objects.filter(frames__frame=frame.pk),
        frame.pk,
        lambda locked: _grade(
            locked,
            version,
            {"firsts": firsts, "seconds": seconds, "remelt": remelt},
            early.strip(),
            by,
        ),
    )


def locking_above(wants, frame_id: int, act):
    """Lock orders, lines, `wants` and the frame in that order, then `act` on the frame. Needs a transaction."""
    for _ in range(MOST_TRIES):
        try:
            # A savepoint: undoing it lets go of the locks, so that the next try takes them in order again.
            with transaction.atomic():
                return act(_lock(set(wants().values_list("pk", flat=True)), frame_id))
        except _Moved:
            continue
    raise ValidationError("What this frame hangs for is changing at this moment; please send it again.")


def _lock(wanted: set[int], frame_id: int) -> Frame:
    for _, more in grading_begins.send(Frame, wants=frozenset(wanted)):
        wanted = wanted | set(more or ())
    lock_wants(wanted)
    frame = Frame.objects.select_for_update(of=("self",)).select_related("candle").get(pk=frame_id)
    if not set(frame.promises.values_list("want", flat=True)) <= wanted:
        raise _Moved
    lock_codes()
    return frame


def _grade(frame: Frame, version: int, numbers: dict, early: str, by) -> Grading:
    if done := Grading.objects.filter(frame=frame).select_related("person").first():
        return _again(done, clean_count(hung=frame.hung, **numbers), by)
    check_version(frame, version)
    _check_ready(frame, early)
    count = clean_count(hung=frame.hung, **numbers)
    grading = _write(frame, count, by)
    wants = {promise.want_id: promise.pairs for promise in frame.promises.all()}
    frame.promises.all().delete()
    frame.state, frame.hung_for = GRADED, 0
    frame.version += 1
    frame.save(update_fields=["state", "hung_for", "version"])
    soon = f" Graded before it was hard: {early}" if early and not is_hard(frame) else ""
    record(subject="frame", subject_id=frame.pk, what=f"Graded: {count.in_words()}.{soon}", by=by)
    hand_on(grading, pairs=count.firsts, wants=wants, by=by)
    draw_wax(frame, by=by)
    return grading


def _again(done: Grading, count: CountedOff, by) -> Grading:
    """The same person's same count sent twice is the grading it made; anything else is told of it."""
    if done.person_id == by.pk and counted_off(done) == count:
        return done
    raise ValidationError(
        f"{done.frame} was graded by {done.person} at {timezone.localtime(done.at):%H:%M} already: "
        f"{counted_off(done).in_words()}. Nothing of yours was written. If theirs is wrong, put it right on the page "
        "of the frame."
    )


def counted_off(grading: Grading) -> CountedOff:
    """What the grading says was counted off."""
    return CountedOff(grading.firsts, {row.fault: row.pairs for row in grading.faults.all()}, grading.remelt)


def is_hard(frame: Frame) -> bool:
    return frame.hard_at is None or frame.hard_at <= timezone.now()


def _check_ready(frame: Frame, early: str) -> None:
    if frame.state != OFF:
        raise ValidationError(NOT_READY.format(frame=frame, state=frame.get_state_display()))
    if len(early) > 200:
        raise ValidationError({"early": "At most 200 characters."})
    if not is_hard(frame) and not early:
        hard_at = timezone.localtime(frame.hard_at)
        raise ValidationError({"early": f"{frame} is hard on {hard_at:%d %B at %H:%M}. Say why it is graded before."})


def _write(frame: Frame, count: CountedOff, by) -> Grading:
    lot = open_part(frame, count.firsts, by) if count.firsts else None
    lots = {fault: open_part(frame, pairs, by, fault) for fault, pairs in sorted(count.seconds.items())}
    grading = Grading.objects.create(
        frame=frame,
        firsts=count.firsts,
        seconds=count.seconds_pairs,
        remelt=count.remelt,
        lot=lot,
        person=by,
        at=timezone.now(),
    )
    GradedFault.objects.bulk_create(
        GradedFault(grading=grading, fault=fault, pairs=pairs, lot=lots[fault])
        for fault, pairs in sorted(count.seconds.items())
    )
    return grading


def open_part(frame: Frame, pairs: int, by, fault: str = "") -> Lot:
    """A lot of what was counted off the frame. It carries the run's code and names the frame in its movement."""
    run = latest_run(frame)
    return open_lot(
        candle=frame.candle,
        grade=SECONDS if fault else FIRSTS,
        # The day its last wax went on, not the day somebody found time to count.
        made_on=timezone.localdate(frame.off_at),
        pairs=pairs,
        kind="made",
        reason="",
        fault=fault,
        dip_run=run.code if run else "",
        reference=frame.code,
        by=by,
    )
