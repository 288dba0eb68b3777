"""Carousels: a list of the set-up with rules of its own, since frames may hang there."""

from django.core.exceptions import ValidationError
from django.db import transaction

from inventory.domain import set_up
from production.domain.recipes import named
from production.models import Carousel, DipRun, Frame
from production.models.frame import HANGING


@transaction.atomic
def change_carousel(*, row: Carousel, values: dict, seen: str, by) -> Carousel:
    """Change a carousel. A position a frame hangs on stays, and so does a carousel that is turning."""
    row = Carousel.objects.select_for_update().get(pk=row.pk)
    frames = list(Frame.objects.filter(carousel=row, state=HANGING).order_by("position"))
    last = max((frame.position for frame in frames), default=0)
    if values["positions"] < last:
        raise ValidationError({"positions": f"{frames[-1].code} hangs at position {last}: take it off first."})
    if not values["active"] and frames:
        raise ValidationError({"active": f"Take {named(frames)} off first."})
    if not values["active"] and (run := DipRun.objects.filter(carousel=row, ended_at=None).first()):
        raise ValidationError({"active": f"Run {run} is on: end it first."})
    return set_up.change_row(row=row, values=values, seen=seen, by=by)
