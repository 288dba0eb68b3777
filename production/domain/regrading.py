"""Putting a wrong grading right. Lots change by movements only, so what was written first stays on record."""

from django.core.exceptions import ValidationError
from django.db import transaction

from inventory.domain.lots import lock_lots, move_pairs
from inventory.domain.records import record
from inventory.domain.versions import check_version
from inventory.models import Lot
from production.domain.counting_off import CountedOff, clean_count
from production.domain.grading import counted_off, locking_above, open_part
from production.domain.handing_on import hand_on
from production.models import Frame, GradedFault, Grading, Want


@transaction.atomic
def correct_grading(
    *, grading: Grading, version: int, firsts: int, seconds: dict[str, int], remelt: int, reason: str, by
) -> Grading:
    """Say again what was counted off, in pairs, and why the first count was wrong.

    Firsts that turn up go to those the frame hung for and who came short, then to the shelf. Pairs can only be taken
    back while they are free: ValidationError, at the field, where they are set aside or have left. StaleVersion where
    somebody put it right since `version`; the same count again changes nothing.
    """
    short = [row["want"] for row in grading.promised if row["got"] < row["pairs"]]
    numbers = {"firsts": firsts, "seconds": seconds, "remelt": remelt}
    return locking_above(
        lambda: Want.objects.filter(pk__in=short),
        grading.frame_id,
        lambda frame: _correct(frame, version, numbers, reason.strip(), by),
    )


def _correct(frame: Frame, version: int, numbers: dict, reason: str, by) -> Grading:
    grading = Grading.objects.select_related("person").get(frame=frame)
    grading.frame = frame
    before, count = counted_off(grading), clean_count(hung=frame.hung, **numbers)
    if count == before:
        return grading
    check_version(grading, version)
    if not reason:
        raise ValidationError({"reason": "Say why the first count was wrong."})
    if len(reason) > 120:
        raise ValidationError({"reason": "At most 120 characters."})
    rows = {row.fault: row for row in grading.faults.select_related("lot")}
    lock_lots([row.lot_id for row in rows.values()] + ([grading.lot_id] if grading.lot_id else []))
    why = f"Grading put right: {reason}"
    grading.lot = _put_right(frame, grading.lot, count.firsts - before.firsts, why, by, field="firsts")
    for row in rows.values():
        row.grading = grading
    for fault in sorted({*rows, *count.seconds}):
        row = rows.get(fault) or GradedFault(grading=grading, fault=fault, pairs=0)
        _put_fault_right(row, count.seconds.get(fault, 0), why, by)
    _save(grading, count)
    what = f"Grading put right: {count.in_words()}; before, {before.in_words()}. {reason}"
    record(subject="frame", subject_id=frame.pk, what=what, by=by)
    if count.firsts > before.firsts:
        wants = {row["want"]: row["pairs"] - row["got"] for row in grading.promised if row["got"] < row["pairs"]}
        hand_on(grading, pairs=count.firsts - before.firsts, wants=wants, by=by)
    return grading


def _put_right(frame: Frame, lot: Lot | None, pairs: int, why: str, by, *, field: str, fault: str = "") -> Lot | None:
    """Bring `pairs` (signed) into the lot or out of it; a lot that is not there yet is opened."""
    if not pairs:
        return lot
    if lot is None:
        return open_part(frame, pairs, by, fault)
    try:
        move_pairs(lot=lot, kind="put right", pairs=pairs, reason=why, reference=frame.code, by=by)
    except ValidationError as error:
        # Pairs promised or gone cannot be made unmade: who holds them decides first.
        raise ValidationError({field: error.messages}) from error
    return lot


def _put_fault_right(row: GradedFault, pairs: int, why: str, by) -> None:
    lot = row.lot if row.pk else None
    row.lot = _put_right(row.grading.frame, lot, pairs - row.pairs, why, by, field="seconds", fault=row.fault)
    if pairs:
        row.pairs = pairs
        row.save()
    elif row.pk:
        row.delete()


def _save(grading: Grading, count: CountedOff) -> None:
    grading.firsts, grading.seconds, grading.remelt = count.firsts, count.seconds_pairs, count.remelt
    grading.version += 1
    grading.save(update_fields=["firsts", "seconds", "remelt", "lot", "version"])
