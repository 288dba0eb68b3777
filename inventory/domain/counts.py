"""Stock counts: a sheet is made, the shelves are walked, the figures typed in, the differences posted.

A difference is what was counted less what the book said at the moment of counting, so pairs that came or went after
that are not counted twice. A recount booked since then is taken as a correction of the past: two sheets that saw the
same gap close it once.
"""

from collections.abc import Iterable
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from inventory.domain.lots import MOST_PAIRS, lock_lots, move_pairs
from inventory.domain.records import record
from inventory.domain.rows import update_rows
from inventory.domain.versions import check_version
from inventory.models import Lot, StockCount, StockCountRow
from inventory.queries.counts import book_at, differences


@transaction.atomic
def start_count(*, by, shelf=None) -> StockCount:
    """A sheet of every lot with pairs on the shelf (None: on any). ValidationError where one is open for it."""
    lots = Lot.objects.filter(on_hand__gt=0)
    lots = list(lots.filter(shelf=shelf) if shelf else lots)
    if not lots:
        raise ValidationError({"shelf": "No pairs lie there: nothing to count."})
    count = StockCount(started_at=timezone.now(), started_by=by, shelf=shelf)
    if open_one := StockCount.objects.filter(posted_at=None, shelf=shelf).first():
        raise _already_open(open_one)
    try:
        with transaction.atomic():
            count.save()
    except IntegrityError:
        # Somebody began the same sheet at the same moment.
        raise _already_open(StockCount.objects.get(posted_at=None, shelf=shelf)) from None
    StockCountRow.objects.bulk_create(StockCountRow(count=count, lot=lot, expected=lot.on_hand) for lot in lots)
    record(
        subject="count", subject_id=count.pk, what=f"Sheet made: {len(lots)} lots, {shelf or 'all shelves'}.", by=by
    )
    return count


@transaction.atomic
def type_in(
    *,
    count: StockCount,
    version: int,
    counted_at: datetime,
    counted: dict[int, int | None],
    by,
    found: Iterable[tuple[Lot, int]] = (),
) -> StockCount:
    """Keep what was counted: `counted` maps a row's id to pairs (None: not counted). Nothing moves yet.

    `found` are lots that lay there without standing on the sheet, with the pairs of the whole lot.
    """
    count = _open_count(count)
    check_version(count, version)
    if not count.started_at <= counted_at <= timezone.now():
        raise ValidationError({"counted_at": "Between the making of the sheet and now."})
    rows = {row.pk: row for row in count.rows.select_for_update().order_by("pk")}
    if unknown := set(counted) - set(rows):
        raise ValidationError(f"No such row on this sheet: {min(unknown)}.")
    for pairs in (*counted.values(), *(pairs for lot, pairs in found)):
        if pairs is not None and not 0 <= pairs <= MOST_PAIRS:
            raise ValidationError(f"Between 0 and {MOST_PAIRS:,} pairs a lot.")
    for pk, pairs in counted.items():
        rows[pk].counted = pairs
    update_rows(rows.values(), ["counted"])
    for lot, pairs in found:
        _add_found(count, lot, pairs)
    count.counted_at, count.version = counted_at, count.version + 1
    count.save(update_fields=["counted_at", "version"])
    done = count.rows.filter(counted__isnull=False).count()
    record(subject="count", subject_id=count.pk, what=f"Typed in: {done} of {count.rows.count()} lots.", by=by)
    return count


@transaction.atomic
def post_count(*, count: StockCount, version: int, by) -> StockCount:
    """Book the differences as recounts and close the sheet. All or nothing.

    ValidationError, naming the lots, where more is set aside than would be left; nothing is changed then. Lots not
    counted stay as they are.
    """
    count = _open_count(count)
    check_version(count, version)
    if not count.rows.filter(counted__isnull=False).exists():
        raise ValidationError("Nothing has been typed in yet.")
    lock_lots(count.rows.values_list("lot", flat=True))
    found = [row for row in differences(count) if row.difference]
    if short := [row for row in found if row.below_set_aside]:
        raise ValidationError([f"{row.lot.code}: {row.why_not()}" for row in short])
    for row in sorted(found, key=lambda row: row.lot.pk):
        reason = f"Counted {row.counted}, the book said {row.book}."
        move_pairs(lot=row.lot, kind="recounted", pairs=row.difference, reason=reason, reference=str(count), by=by)
    count.posted_at, count.posted_by, count.version = timezone.now(), by, count.version + 1
    count.save(update_fields=["posted_at", "posted_by", "version"])
    total = sum(row.difference for row in found)
    record(subject="count", subject_id=count.pk, what=f"Posted: {len(found)} lots put right, {total:+d} pairs.", by=by)
    return count


@transaction.atomic
def discard_count(*, count: StockCount, version: int, by) -> None:
    """Throw an unposted sheet away. The record of it stays."""
    count = _open_count(count)
    check_version(count, version)
    record(subject="count", subject_id=count.pk, what=f"Sheet of {count.shelf or 'all shelves'} thrown away.", by=by)
    count.delete()


def _open_count(count: StockCount) -> StockCount:
    """The count, locked. ValidationError where it is posted."""
    count = StockCount.objects.select_for_update().filter(pk=count.pk).first()
    if count is None:
        raise ValidationError("This sheet has been thrown away.")
    if count.posted_at:
        when = timezone.localtime(count.posted_at)
        raise ValidationError(f"This count was posted by {count.posted_by} on {when:%d %B at %H:%M}; it is closed.")
    return count


def _add_found(count: StockCount, lot: Lot, pairs: int) -> None:
    if count.rows.filter(lot=lot).exists():
        raise ValidationError({"found_lot": f"{lot.code} stands on the sheet already."})
    book = book_at([lot.pk], count.started_at)[lot.pk]
    StockCountRow.objects.create(count=count, lot=lot, expected=book, counted=pairs)


def _already_open(count: StockCount) -> ValidationError:
    return ValidationError(
        {"shelf": f"{count}, begun by {count.started_by}, is still open for the same place. Post it or throw it away."}
    )
