"""Wants of the workshop itself: made ahead for the shelf. They belong to no group; a shop's want always has one."""

from datetime import date, timedelta

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from inventory.domain.records import record
from inventory.models import Candle
from inventory.words import day, in_pairs
from production.domain.spare import hang_spare_for
from production.domain.wants import drop_want, keep_want, lock_wants
from production.models import Want

OWN = ""  # the group of the workshop's own wants
SHELF = "the shelf"
AFTER_SHOPS = 9  # the last rank: a shop's want of the same day goes first
MOST_PAIRS = 100_000
MOST_AHEAD = timedelta(days=731)
LONGEST_NOTE = 60


@transaction.atomic
def add_own_want(*, candle: Candle, pairs: int, wanted_by: date, note: str = "", by) -> Want:
    """Want `pairs` of firsts made ahead for the shelf. A candle is wanted once for one day and note: more pairs of the
    same are added to it by changing it. ValidationError by field.
    """
    values = _checked(pairs, wanted_by, note)
    # Whoever adds waits here, so that the same form sent twice at once finds the first one's want.
    candle = Candle.objects.select_for_update(of=("self",)).get(pk=candle.pk)
    if not candle.active:
        raise ValidationError({"candle": f"{candle} is no longer in the catalogue."})
    same = Want.objects.filter(group=OWN, candle=candle, wanted_by=wanted_by, for_whom=values["for_whom"]).first()
    if same:
        if same.pairs == pairs:
            return same
        raise ValidationError(
            {"pairs": f"{in_pairs(same.pairs)} of it are wanted for that day already: change those."}
        )
    want = keep_want(want=None, candle=candle, rank=AFTER_SHOPS, group=OWN, all_or_nothing=False, **values)
    hang_spare_for([want.pk])
    _record(want, f"Wanted for the shelf: {_said(want)}", by)
    return want


@transaction.atomic
def change_own_want(*, want: Want, pairs: int, wanted_by: date, note: str = "", by) -> Want:
    """Want other pairs, another day, or say otherwise what for. Frames hung for more than that hang for the shelf."""
    want = _lock(want)
    values = _checked(pairs, wanted_by, note, before=want)
    before = _said(want)
    want = keep_want(
        want=want, candle=want.candle, rank=want.rank, group=OWN, all_or_nothing=want.all_or_nothing, **values
    )
    if before != _said(want):
        hang_spare_for([want.pk])
        _record(want, f"Wanted for the shelf: {_said(want)}, was {before}", by)
    return want


@transaction.atomic
def drop_own_want(*, want: Want, by) -> None:
    """No longer wanted. Gone already: nothing happens."""
    if not Want.objects.filter(pk=want.pk).exists():
        return
    want = _lock(want)
    _record(want, f"No longer wanted for the shelf: {_said(want)}", by)
    drop_want(want)


def _lock(want: Want) -> Want:
    locked = lock_wants([want.pk]).get(want.pk)
    if locked is None:
        raise ValidationError("It is wanted no longer: filled, or dropped by somebody else.")
    if locked.group != OWN:
        raise ValidationError("An order wants these pairs: change the order.")
    return locked


def _checked(pairs: int, wanted_by: date, note: str, before: Want | None = None) -> dict:
    wrong = {}
    if not 1 <= pairs <= MOST_PAIRS:
        wrong["pairs"] = f"Between 1 and {MOST_PAIRS:,} pairs."
    today = timezone.localdate()
    kept = before is not None and before.wanted_by == wanted_by
    if not kept and not today <= wanted_by <= today + MOST_AHEAD:
        wrong["wanted_by"] = "A day from today on, at most two years ahead."
    note = " ".join(note.split())
    if len(note) > LONGEST_NOTE:
        wrong["note"] = f"At most {LONGEST_NOTE} characters."
    if wrong:
        raise ValidationError(wrong)
    return {"pairs": pairs, "wanted_by": wanted_by, "for_whom": f"{SHELF}: {note}" if note else SHELF}


def note_of(want: Want) -> str:
    """What an own want is for, as it was typed."""
    return want.for_whom.removeprefix(SHELF).removeprefix(": ")


def _said(want: Want) -> str:
    note = f", {note_of(want)}" if note_of(want) else ""
    return f"{in_pairs(want.pairs)} by {day(want.wanted_by)}{note}"


def _record(want: Want, what: str, by) -> None:
    record(subject="candle", subject_id=want.candle_id, what=what, by=by)
