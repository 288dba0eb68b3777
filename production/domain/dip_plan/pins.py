"""What the owner holds fast in the dip plan. A pin binds the next search or mending; by itself it moves nothing."""

from datetime import date

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from inventory.domain.records import record
from inventory.models import Candle, Colour, Wax
from inventory.words import measure
from production.domain.dip_plan.search import PLAN_ID, lock_plan
from production.models import PlanPin, Recipe, Vat
from production.queries.hours import working_hours
from production.queries.wax import bath_of

MOST_POSITIONS = 12  # of any carousel
HALVES = {1: "morning", 2: "afternoon"}


@transaction.atomic
def pin_vat(*, vat: Vat, day: date, half: int, wax: Wax, colour: Colour, by) -> PlanPin:
    """Hold this vat in that wax and colour for that half-day (1 the morning, 2 the afternoon).

    Pinned again, the later pin counts. ValidationError: a vat out of use or that may not hold the wax, a day gone by
    or not worked.
    """
    lock_plan()
    _check_when(vat, day, half)
    may = list(vat.may_hold.all())
    if may and wax not in may:
        raise ValidationError({"wax": f"{vat} may not hold {wax}."})
    same = PlanPin.objects.filter(vat=vat, day=day, half=half, colour__isnull=False).first()
    if same and (same.wax_id, same.colour_id) == (wax.pk, colour.pk):
        return same
    if same:
        same.delete()
    pin = PlanPin.objects.create(
        vat=vat, day=day, half=half, wax=wax, colour=colour, made_at=timezone.now(), made_by=by
    )
    _record(f"Pinned: {pin_in_words(pin)}", by)
    return pin


@transaction.atomic
def pin_frame(*, candle: Candle, vat: Vat, day: date, half: int, position: int | None = None, by) -> PlanPin:
    """Hang a new frame of the candle over that vat in that half-day, at `position` (from 1) or anywhere.

    ValidationError: a vat out of use, too shallow, or that may not hold its wax; a day gone by or not worked; a candle
    without a recipe; a position pinned already, or that no carousel has.
    """
    lock_plan()
    _check_when(vat, day, half)
    recipe = Recipe.objects.filter(candle=candle).prefetch_related("stages__wax").first()
    if recipe is None or not recipe.stages.all():
        raise ValidationError({"candle": f"{candle} has no recipe yet."})
    may = set(vat.may_hold.all())
    if may and (other := [stage.wax for stage in recipe.stages.all()[:1] if stage.wax not in may]):
        raise ValidationError({"vat": f"{vat} may not hold {other[0]}."})
    if why := refuse_depth(vat, candle):
        raise ValidationError({"vat": why})
    if position is not None and not 1 <= position <= MOST_POSITIONS:
        raise ValidationError({"position": f"Between 1 and {MOST_POSITIONS}."})
    there = PlanPin.objects.filter(vat=vat, day=day, half=half, candle__isnull=False)
    # Two frames of a candle in one half-day are told apart by their positions: the same form sent twice is one pin.
    if same := there.filter(candle=candle, position=position).first():
        return same
    if position is not None and (other := there.filter(position=position).select_related("candle").first()):
        raise ValidationError({"position": f"{other.candle} is pinned there already."})
    pin = PlanPin.objects.create(
        candle=candle, vat=vat, day=day, half=half, position=position, made_at=timezone.now(), made_by=by
    )
    _record(f"Pinned: {pin_in_words(pin)}", by)
    return pin


@transaction.atomic
def unpin(*, pin: PlanPin, by) -> None:
    """Let go what was held fast. Gone already is no error."""
    pin = PlanPin.objects.select_for_update().filter(pk=pin.pk).first()
    if pin:
        _record(f"Unpinned: {pin_in_words(pin)}", by)
        pin.delete()


def pin_in_words(pin: PlanPin) -> str:
    """ "South vat in winter red on Monday 30 Nov, morning"; "Ivory taper over North vat at position 3 on ..." """
    when = f"on {pin.day:%A} {pin.day.day} {pin.day:%b}, {HALVES[pin.half]}"
    if pin.candle:
        place = f" at position {pin.position}" if pin.position else ""
        return f"{pin.candle} over {pin.vat}{place} {when}"
    return f"{pin.vat} in {pin.colour.name.lower()} ({pin.wax}) {when}"


def refuse_depth(vat: Vat, candle: Candle) -> str:
    """Why the vat, filled to its fullest, does not cover the candle; empty where it does."""
    covers = bath_of(vat).covered_full_mm
    if candle.length_mm <= covers:
        return ""
    return f"{vat} covers {covers:.0f} mm of candle, and {candle} is {measure(candle.length_mm)} mm long."


def _check_when(vat: Vat, day: date, half: int) -> None:
    if not vat.active:
        raise ValidationError({"vat": f"{vat} is not in use."})
    if half not in HALVES:
        raise ValidationError({"half": "Morning or afternoon."})
    if day < timezone.localdate():
        raise ValidationError({"day": "That day has gone by."})
    hours = working_hours()
    if hours is None or (hours.on(day) is None):
        raise ValidationError({"day": "Nobody works on that day."})


def _record(what: str, by) -> None:
    record(subject="dip plan", subject_id=PLAN_ID, what=what, by=by)
