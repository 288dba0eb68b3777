"""Wick ends with their wax: weighed in, filled into bags as firelighters, sold by the bag, or melted down again."""

from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Sum
from django.utils import timezone

from production.models import FloorFigures, WickEnds

KINDS = tuple(kind for kind, _ in WickEnds.KINDS)
MOST_GRAMS, MOST_BAGS, LONGEST_NOTE = 500_000, 5_000, 200
# What each kind asks for; what it does not ask for is left out of account.
ASKS = {"weighed in": ("grams",), "bagged": ("grams", "bags"), "sold": ("bags",), "remelted": ("grams",)}
SIGNS = {"weighed in": (1, 0), "bagged": (-1, 1), "sold": (0, -1), "remelted": (-1, 0)}


@transaction.atomic
def book_wick_ends(
    *, kind: str, grams: int = 0, bags: int = 0, note: str = "", by, submission: UUID | None = None
) -> WickEnds:
    """Book grams of loose ends and bags: above nought as they were weighed and counted, whichever way they went.

    ValidationError (by field) where more goes than is there. The same `submission` sent again books nothing.
    """
    if kind not in KINDS:
        raise ValidationError({"kind": f"Choose one of: {', '.join(KINDS)}."})
    lock_wick_ends()
    if submission and (done := WickEnds.objects.filter(submission=submission).first()):
        return done
    given = {"grams": grams, "bags": bags}
    for name, most in (("grams", MOST_GRAMS), ("bags", MOST_BAGS)):
        if name in ASKS[kind] and not 0 < given[name] <= most:
            raise ValidationError({name: f"A whole number from 1 to {most:,}."})
    if len(note.strip()) > LONGEST_NOTE:
        raise ValidationError({"note": f"At most {LONGEST_NOTE} characters."})
    there = wick_ends_there()
    of_grams, of_bags = SIGNS[kind]
    if of_grams < 0 and grams > there["grams"]:
        raise ValidationError({"grams": f"Only {there['grams']:,} g lie loose."})
    if of_bags < 0 and bags > there["bags"]:
        raise ValidationError({"bags": f"Only {there['bags']:,} bags stand filled."})
    return WickEnds.objects.create(
        kind=kind,
        grams=of_grams * grams,
        bags=of_bags * bags,
        note=note.strip(),
        submission=submission,
        person=by,
        at=timezone.now(),
    )


def lock_wick_ends() -> None:
    """The floor's row of figures stands for the bin: two who take from it do so one after the other."""
    FloorFigures.objects.get_or_create(pk=1)
    FloorFigures.objects.select_for_update().get(pk=1)


def wick_ends_there() -> dict[str, int]:
    """`grams` lying loose and `bags` filled. One query."""
    return WickEnds.objects.aggregate(grams=Sum("grams", default=0), bags=Sum("bags", default=0))
