"""When the season is, what shops ordered before this book was begun, and what is made ahead for it."""

import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Sum
from django.utils import timezone

from inventory.domain.set_up import said, tell, told_changes
from inventory.domain.versions import check_version
from inventory.models import Candle
from inventory.words import counted, day, in_pairs
from orders.models import BookedBefore, Order, SeasonFigures, Shop
from orders.queries.season_floor import list_seen, wanted_ahead
from production.domain.own_wants import OWN, SHELF, add_own_want, change_own_want
from production.models import Want

FIELDS = ("first_month", "last_van")
MOST_ROWS = 50_000
NOTE = "for Christmas"
FOR_WHOM = f"{SHELF}: {NOTE}"


@dataclass(frozen=True)
class Before:
    """A row of what was booked before the book: pairs of firsts a shop ordered on a day, to be sent by another."""

    shop: Shop
    candle: Candle
    placed_on: date
    ship_by: date
    pairs: int


def lock_season() -> SeasonFigures:
    """Whoever changes what the season is made of waits here. Needs a transaction."""
    SeasonFigures.objects.get_or_create(pk=1)
    return SeasonFigures.objects.select_for_update().get(pk=1)


@transaction.atomic
def save_season_figures(*, values: dict, version: int, by) -> SeasonFigures:
    """Write FIELDS. StaleVersion where somebody else was quicker; ValidationError by field."""
    row = lock_season()
    check_version(row, version)
    before = said(row, FIELDS)
    for name in FIELDS:
        setattr(row, name, values[name])
    row.full_clean()
    if row.last_van and (row.last_van.month, row.last_van.day) > (12, 24):
        raise ValidationError({"last_van": "That is after Christmas Eve."})
    if what := told_changes("Season", before, said(row, FIELDS)):
        row.version += 1
        row.save()
        tell(what, by)
    return row


@transaction.atomic
def put_booked_before(*, rows: Sequence[Before], submission: uuid.UUID, by) -> int:
    """Put these rows into the seasons before, all or none; how many. The same submission again: nothing is added.

    ValidationError for a day on which this book itself has orders of the time, so that nothing counts twice.
    """
    lock_season()
    if BookedBefore.objects.filter(submission=submission).exists():
        return BookedBefore.objects.filter(submission=submission).count()
    if not 1 <= len(rows) <= MOST_ROWS:
        raise ValidationError({"rows": f"Between 1 and {MOST_ROWS:,} rows."})
    begun, now = book_begun(), timezone.now()
    if begun and (late := sum(row.placed_on >= begun for row in rows)):
        said = (
            f"{counted(late, 'row is', 'rows are')} of {day(begun)} or later: from then on this book has the orders."
        )
        raise ValidationError({"rows": said})
    made = [
        BookedBefore(
            shop=row.shop, candle=row.candle, placed_on=row.placed_on, ship_by=row.ship_by, pairs=row.pairs,
            submission=submission, made_at=now, made_by=by,
        )
        for row in rows
    ]  # fmt: skip
    BookedBefore.objects.bulk_create(made, batch_size=500)
    tell(f"Booked before the book: {counted(len(made), 'row')}, {in_pairs(sum(row.pairs for row in rows))}, added", by)
    return len(made)


def book_begun() -> date | None:
    """The day of the first order in this book; None in an empty one."""
    return Order.objects.order_by("placed_on").values_list("placed_on", flat=True).first()


@transaction.atomic
def take_out_booked_before(*, submission: uuid.UUID, by) -> int:
    """Take out all rows of one paste; how many. Out already: none."""
    lock_season()
    rows = BookedBefore.objects.filter(submission=submission)
    pairs = rows.aggregate(pairs=Sum("pairs", default=0))["pairs"]
    gone, _ = rows.delete()
    if gone:
        tell(f"Booked before the book: {counted(gone, 'row')}, {in_pairs(pairs)}, taken out", by)
    return gone


@transaction.atomic
def want_ahead(*, seen: str, by) -> int:
    """Put the make-ahead list on the dip list, for the shelf; how many frames that is. ValidationError where the list
    is no longer the one that was `seen`, which holds for the same list put there twice, too.
    """
    lock_season()
    rows = wanted_ahead()
    if list_seen(rows) != seen:
        raise ValidationError("The list has changed since it was shown: look at it again.")
    for row in rows:
        had = Want.objects.filter(group=OWN, candle=row.candle, wanted_by=row.wanted_by, for_whom=FOR_WHOM).first()
        if had is None:
            add_own_want(candle=row.candle, pairs=row.pairs, wanted_by=row.wanted_by, note=NOTE, by=by)
        else:
            change_own_want(want=had, pairs=had.pairs + row.pairs, wanted_by=row.wanted_by, note=NOTE, by=by)
    return sum(row.frames for row in rows)
