"""Wax that comes back: melted candles and ends of one wax and colour, weighed into stock as a lot of own remelt."""

from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from inventory.domain.material_lots import take_in
from inventory.models import Colour, Material, Wax
from inventory.models.material import WAX
from production.models import Remelt

MOST_GRAMS, LONGEST_NOTE, LONGEST_NAME = 500_000, 200, 80


@transaction.atomic
def weigh_in_remelt(
    *, wax: Wax, colour: Colour, grams: int, left: int | None = None, note: str = "", submission: UUID, by
) -> Remelt:
    """Weigh `grams` of melted wax of one colour into stock; it is used before anything bought in a vat of that bath.

    `left`: grams of it still lying for remelt afterwards, None where nobody looked. The material is made with its
    first lot. The same `submission` again is the weighing it made. ValidationError by field.
    """
    # The wax's row stands for its tubs: two who weigh of it do so one after the other.
    wax = Wax.objects.select_for_update().get(pk=wax.pk)
    if done := Remelt.objects.filter(submission=submission).first():
        return done
    for name, figure, least in (("grams", grams, 1), ("left", left, 0)):
        if figure is not None and not least <= figure <= MOST_GRAMS:
            raise ValidationError({name: f"Between {least / 1000:g} and {MOST_GRAMS // 1000} kg."})
    if len(note.strip()) > LONGEST_NOTE:
        raise ValidationError({"note": f"At most {LONGEST_NOTE} characters."})
    now = timezone.now()
    lot = take_in(
        material=remelt_material(wax, colour),
        amount=grams,
        came_on=timezone.localdate(now),
        kind="remelted",
        note=note,
        submission=submission,
        by=by,
    )
    return Remelt.objects.create(
        lot=lot, wax=wax, colour=colour, grams=grams, left=left, note=note.strip(), submission=submission, person=by,
        at=now,
    )  # fmt: skip


def remelt_material(wax: Wax, colour: Colour) -> Material:
    """Our own remelt of a wax and colour, made on first use. Needs a transaction that holds the wax's row."""
    name = f"Own remelt, {wax}, {colour.name.lower()}"
    if found := Material.objects.filter(remelt_of=wax, remelt_colour=colour).first():
        return found
    for tail in ("", f" ({wax.pk}-{colour.pk})"):
        try:
            with transaction.atomic():
                return Material.objects.create(
                    name=name[: LONGEST_NAME - len(tail)] + tail, kind=WAX, remelt_of=wax, remelt_colour=colour
                )
        except IntegrityError:
            # Somebody has called another material so.
            continue
    raise ValidationError(f"Another material is called {name}: give that one another name first.")
