"""What the floor is set up with, and what it still wants before anything can be dipped."""

from dataclasses import dataclass

from django.urls import reverse
from django.utils import timezone

from inventory.models import Candle
from inventory.words import counted
from production.models import Carousel, ChangeOver, DayOff, FrameKind, Recipe, Vat, WaxHeat, WorkingDay
from production.queries.costs import cost_figures
from production.queries.figures import floor_figures


@dataclass(frozen=True)
class FloorPart:
    """One page of the floor's set-up: what stands in it, and in words what is missing of it (empty: nothing)."""

    part: str
    url: str
    stands: str
    missing: str = ""


def parts_of_floor() -> list[FloorPart]:
    """Every page of the floor's set-up in the order one fills it in."""
    vats = Vat.objects.filter(active=True).count()
    kinds, carousels = FrameKind.objects.filter(active=True).count(), Carousel.objects.filter(active=True).count()
    days = WorkingDay.objects.count()
    times = ChangeOver.objects.count()
    off = DayOff.objects.filter(day__gte=timezone.localdate()).count()
    return [
        _listed("Wax heat", "wax_heats", WaxHeat.objects.count(), "what a wax may be heated to"),
        _listed("Vats", "vats", vats, "a vat"),
        _listed("Carousels", "carousels_setup", carousels, "a carousel"),
        _listed("Kinds of frame", "frame_kinds", kinds, "a kind of frame"),
        _recipes(),
        _listed("Working hours", "working_hours", days, "the working hours", f"{counted(days, 'day')} a week"),
        FloorPart("Days off", reverse("days_off"), f"{off} to come" if off else "none to come"),
        FloorPart("Change-over times", reverse("change_over_times"), f"{times:,}" if times else "the floor's figures"),
        FloorPart(
            "The floor's figures",
            reverse("floor_figures"),
            f"firsts wanted come out {100 * floor_figures().confidence:.0f} times in 100",
        ),
        FloorPart("What work and heat cost", reverse("cost_figures"), f"an hour £{cost_figures().pay_hour}"),
    ]


def _recipes() -> FloorPart:
    wanting = Candle.objects.filter(active=True, recipe=None).count()
    made = Recipe.objects.filter(candle__active=True).count()
    missing = f"{'a recipe' if wanting == 1 else 'recipes'} for {counted(wanting, 'candle')}" if wanting else ""
    return FloorPart("Recipes", reverse("recipes"), f"{made:,}" if made else "none", missing)


def _listed(part: str, url_name: str, count: int, missing: str, stands: str = "") -> FloorPart:
    return FloorPart(part, reverse(url_name), (stands or f"{count:,}") if count else "none", "" if count else missing)
