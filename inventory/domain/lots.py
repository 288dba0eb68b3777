"""The only place where a lot's pairs change. Lock first (lock_lots), then count, then write.

A movement and the counter it changes are written together; the database refuses what would break
0 <= set aside <= on hand, so a slip here cannot reach the shelf.
"""

from collections.abc import Iterable
from datetime import date
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from inventory.domain.lot_codes import lock_codes, next_code
from inventory.domain.records import record
from inventory.domain.rows import update_rows
from inventory.models import FIRSTS, SECONDS, Candle, Lot, Movement
from inventory.models.lot import ADDING, TAKING

MOST_PAIRS = 1_000_000  # in one movement; above it is a slip of the finger
OPENING = ("made", "counted in")
ADJUSTING = ("damaged", "remelted", "returned", "recounted")
LONGEST = {"reason": 200, "fault": 40}
# Each try sees at least one more lot that somebody else has just opened.
MOST_TRIES = 50


def lock_lots(ids: Iterable[int]) -> dict[int, Lot]:
    """Lock the lots, in the order of their keys as everywhere, and return them by id. Needs a transaction."""
    return {lot.pk: lot for lot in Lot.objects.select_for_update().filter(pk__in=set(ids)).order_by("pk")}


def hold_pairs(parts: Iterable[tuple[Lot, int]]) -> None:
    """Promise so many pairs of each locked lot, named once. ValidationError where fewer are free."""
    lots = []
    for lot, pairs in parts:
        if not 0 < pairs <= lot.free:
            raise ValidationError(f"Only {lot.free} pairs of {lot.code} are free, not {pairs}.")
        lot.set_aside += pairs
        lots.append(lot)
    update_rows(lots, ["set_aside"])


def free_pairs(lot: Lot, pairs: int) -> None:
    """Take back the promise of `pairs` of a locked lot."""
    if not 0 < pairs <= lot.set_aside:
        raise ValidationError(f"Only {lot.set_aside} pairs of {lot.code} are set aside, not {pairs}.")
    lot.set_aside -= pairs
    lot.save(update_fields=["set_aside"])


def send_pairs(parts: Iterable[tuple[Lot, int]], *, reference: str, by) -> list[Movement]:
    """Held pairs of locked lots leave the house, promise and stock go down together: a movement each, as given."""
    lots, movements, now = {}, [], timezone.now()
    for lot, pairs in parts:
        if not 0 < pairs <= lot.set_aside:
            raise ValidationError(f"Only {lot.set_aside} pairs of {lot.code} are set aside, not {pairs}.")
        lot.set_aside -= pairs
        lot.on_hand -= pairs
        lots[lot.pk] = lot
        movements.append(Movement(lot=lot, kind="sent", pairs=-pairs, reference=reference, person=by, at=now))
    update_rows(lots.values(), ["on_hand", "set_aside"])
    return Movement.objects.bulk_create(movements)


@transaction.atomic
def open_lot(
    *,
    candle,
    grade: str,
    made_on: date,
    pairs: int,
    kind: str,
    reason: str,
    by,
    shelf=None,
    fault: str = "",
    dip_run: str = "",
    code: str | None = None,
    reference: str = "",
    submission: UUID | None = None,
) -> Lot:
    """A new lot of `pairs`, "made" or "counted in". Without a `code` it gets the next of its grade and day.

    It lies on `shelf`, else on the candle's own. The same `submission` sent again gives the lot it made the first
    time. ValidationError (by field) where something does not fit.
    """
    if kind not in OPENING:
        raise ValidationError({"kind": f"A lot is opened by: {', '.join(OPENING)}."})
    _check_pairs(pairs)
    if kind == "counted in":
        reason = _given(reason=reason)
    if made_on > timezone.localdate():
        raise ValidationError({"made_on": "That day has not come yet."})
    if submission:
        # The same form sent twice at once waits here, and then finds what the first one did.
        Candle.objects.select_for_update().get(pk=candle.pk)
        if done := _done_before(submission):
            return done.lot
    lot = Lot(candle=candle, grade=grade, made_on=made_on, fault=fault.strip(), dip_run=dip_run)
    lot.shelf = shelf or candle.shelf
    _save_new(lot, code)
    _write(lot, kind=kind, pairs=pairs, reason=reason, reference=reference, submission=submission, by=by)
    record(subject="lot", subject_id=lot.pk, what=f"Opened: {pairs} pairs of {grade}, {kind}.", by=by)
    return lot


@transaction.atomic
def move_pairs(
    *, lot: Lot, kind: str, pairs: int, reason: str, by, reference: str = "", submission: UUID | None = None
) -> Movement:
    """Book a movement of `pairs` (signed: below nought leaves) on a lot. Pairs set aside cannot leave this way.

    The same `submission` sent again moves nothing and gives the movement it made the first time.
    """
    lot = lock_lots([lot.pk])[lot.pk]
    if done := _done_before(submission):
        return done
    _check_pairs(abs(pairs))
    if (kind in ADDING and pairs < 0) or (kind in TAKING and pairs > 0):
        raise ValidationError({"pairs": f"Pairs {kind} go the other way."})
    if lot.on_hand + pairs < lot.set_aside:
        raise ValidationError(
            {"pairs": f"{lot.code} has {lot.on_hand} pairs, {lot.set_aside} set aside: at most {lot.free} can go."}
        )
    if lot.on_hand + pairs > MOST_PAIRS:
        raise ValidationError({"pairs": f"A lot holds at most {MOST_PAIRS:,} pairs."})
    return _write(lot, kind=kind, pairs=pairs, reason=reason, reference=reference, submission=submission, by=by)


@transaction.atomic
def adjust_lot(
    *, lot: Lot, kind: str, pairs: int, reason: str, by, seen: int | None = None, submission: UUID | None = None
) -> Movement:
    """Put a lot right by hand. `pairs` is never below nought: of "recounted" it is what lies there now, of the
    others what went or came back. `seen` is what the book said when it was counted: a recount is refused where the
    book has moved on since.
    """
    if kind not in ADJUSTING:
        raise ValidationError({"kind": f"Choose one of: {', '.join(ADJUSTING)}."})
    reason = _given(reason=reason)
    lot = lock_lots([lot.pk])[lot.pk]
    if done := _done_before(submission):
        return done
    if kind == "recounted":
        if seen is not None and seen != lot.on_hand:
            raise ValidationError(
                {"pairs": f"Pairs moved since you opened this page: the book now says {lot.on_hand}. Count again."}
            )
        if not 0 <= pairs <= MOST_PAIRS:
            raise ValidationError({"pairs": f"Between 0 and {MOST_PAIRS:,} pairs."})
        if pairs == lot.on_hand:
            raise ValidationError({"pairs": f"The book says {pairs} too: nothing to put right."})
        pairs -= lot.on_hand
    elif pairs <= 0:
        raise ValidationError({"pairs": f"Between 1 and {MOST_PAIRS:,} pairs."})
    elif kind in TAKING:
        pairs = -pairs
    record(subject="lot", subject_id=lot.pk, what=f"{kind.capitalize()}: {pairs:+d} pairs. {reason}", by=by)
    return move_pairs(lot=lot, kind=kind, pairs=pairs, reason=reason, by=by, submission=submission)


@transaction.atomic
def regrade_pairs(
    *, lot: Lot, pairs: int, fault: str, reason: str, by, shelf=None, submission: UUID | None = None
) -> Lot:
    """Free pairs of a lot of firsts become a lot of seconds of its own; the two name each other in their movements."""
    lock_codes()
    lot = lock_lots([lot.pk])[lot.pk]
    if done := _done_before(submission):
        return Lot.objects.get(code=done.reference)
    if lot.grade != FIRSTS:
        raise ValidationError("Only firsts can become seconds.")
    reason, fault = _given(reason=reason), _given(fault=fault)
    _check_pairs(pairs)
    seconds = Lot(candle=lot.candle, grade=SECONDS, fault=fault, dip_run=lot.dip_run, made_on=lot.made_on)
    seconds.shelf = shelf or lot.shelf
    _save_new(seconds)
    move_pairs(
        lot=lot, kind="regraded", pairs=-pairs, reason=reason, reference=seconds.code, submission=submission, by=by
    )
    _write(seconds, kind="regraded", pairs=pairs, reason=reason, reference=lot.code, by=by)
    what = f"Regraded: {pairs} pairs of {lot.code} became seconds in {seconds.code}, {seconds.fault}."
    record(subject="lot", subject_id=lot.pk, what=what, by=by)
    record(subject="lot", subject_id=seconds.pk, what=what, by=by)
    return seconds


@transaction.atomic
def shelve_lot(*, lot: Lot, shelf, by) -> Lot:
    """The lot now lies on another shelf (None: on none). No pairs move."""
    lot = lock_lots([lot.pk])[lot.pk]
    if lot.shelf_id != (shelf.pk if shelf else None):
        what = f"Moved from {lot.shelf or 'no shelf'} to {shelf or 'no shelf'}."
        lot.shelf = shelf
        lot.save(update_fields=["shelf"])
        record(subject="lot", subject_id=lot.pk, what=what, by=by)
    return lot


def _done_before(submission: UUID | None) -> Movement | None:
    return submission and Movement.objects.select_related("lot").filter(submission=submission).first()


def _check_pairs(pairs: int) -> None:
    if not 0 < pairs <= MOST_PAIRS:
        raise ValidationError({"pairs": f"Between 1 and {MOST_PAIRS:,} pairs."})


def _given(**text: str) -> str:
    """The text without blanks round it; ValidationError at its field where it is empty or too long to keep."""
    ((field, value),) = text.items()
    value, longest = value.strip(), LONGEST[field]
    if not value:
        raise ValidationError({field: "Say why." if field == "reason" else "Say what is wrong with them."})
    if len(value) > longest:
        raise ValidationError({field: f"At most {longest} characters."})
    return value


def _save_new(lot: Lot, code: str | None = None) -> None:
    """Save a new lot under the code given, else under the next free one of its grade and day."""
    if lot.grade == FIRSTS and lot.fault:
        raise ValidationError({"fault": "Firsts have no fault: leave it empty, or make them seconds."})
    if lot.grade == SECONDS:
        lot.fault = _given(fault=lot.fault)
    for _ in range(MOST_TRIES):
        lot.code = code.strip().upper() if code else next_code(lot.grade, lot.made_on)
        # The rules of grade and fault are said above; the database holds its constraints itself.
        lot.full_clean(exclude=["on_hand", "set_aside"], validate_unique=False, validate_constraints=False)
        try:
            with transaction.atomic():
                lot.save()
            return
        except IntegrityError:
            # Somebody has the code, perhaps since we looked. Anything else is not ours to mend.
            if not Lot.objects.filter(code=lot.code).exists():
                raise
        if code:
            raise ValidationError({"code": f"There is a lot {lot.code} already."})
    raise ValidationError("Many lots are being opened at this moment; please send it again.")


def _write(
    lot: Lot, *, kind: str, pairs: int, by, reason: str = "", reference: str = "", submission: UUID | None = None
) -> Movement:
    lot.on_hand += pairs
    lot.save(update_fields=["on_hand", "set_aside"])
    return Movement.objects.create(
        lot=lot,
        kind=kind,
        pairs=pairs,
        reason=reason,
        reference=reference,
        submission=submission,
        person=by,
        at=timezone.now(),
    )
