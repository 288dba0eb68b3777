"""The floor, straight into the tables: vats, carousels, recipes, frames in any state, runs and readings."""

import itertools
from datetime import date, time, timedelta
from decimal import Decimal

from django.utils import timezone

from inventory.models import Colour, Wax
from production.models import (
    Carousel,
    ChangeOver,
    DipRun,
    Frame,
    FrameKind,
    GaugeReading,
    HungFor,
    Recipe,
    RunFrame,
    Stage,
    Vat,
    VatReading,
    Want,
    WaxHeat,
    WorkingDay,
)
from tests.factories.house import make_candle, make_colour, make_person, make_wax

_serial = itertools.count(1)


def make_heat(wax, **fields) -> WaxHeat:
    values = {"congeals_c": Decimal("58"), "flash_c": Decimal("190"), **fields}
    return WaxHeat.objects.update_or_create(wax=wax, defaults=values)[0]


def make_vat(**fields) -> Vat:
    """A vat of the first wax and colour there is: 480 mm deep, 600 x 400 mm inside, full, at 70 C."""
    values = {
        "name": f"Vat {next(_serial)}",
        "depth_mm": 480,
        "length_mm": 600,
        "width_mm": 400,
        "keep_mm": 25,
        "level_mm": Decimal("25"),
        "set_c": Decimal("70"),
        "cut_out_c": Decimal("110"),
        **fields,
    }
    values.setdefault("wax", Wax.objects.first() or make_wax())
    values.setdefault("colour", Colour.objects.first() or make_colour())
    if not WaxHeat.objects.filter(wax=values["wax"]).exists():
        make_heat(values["wax"])
    return Vat.objects.create(**values)


def make_vat_reading(vat=None, by=None, **fields) -> VatReading:
    values = {"kind": "heat", "celsius": Decimal("70") if fields.get("kind", "heat") == "heat" else None, **fields}
    values.setdefault("at", timezone.now())
    return VatReading.objects.create(vat=vat or make_vat(), person=by or make_person("dipper"), **values)


def make_change_over(**fields) -> ChangeOver:
    """From one colour to another of the same wax, in 60 minutes."""
    wax = fields.pop("wax", None) or Wax.objects.first() or make_wax()
    values = {"from_wax": wax, "to_wax": wax, "minutes": 60, **fields}
    values.setdefault("from_colour", make_colour())
    values.setdefault("to_colour", make_colour())
    return ChangeOver.objects.create(**values)


def make_carousel(**fields) -> Carousel:
    return Carousel.objects.create(**{"name": f"Carousel {next(_serial)}", "positions": 6, **fields})


def make_frame_kind(**fields) -> FrameKind:
    """Four bars of 800 mm: 48 pairs of a 22 mm candle at three diameters."""
    values = {"name": f"Frame of {next(_serial)}", "bars": 4, "usable_mm": 800, "iron_g": 1500, **fields}
    return FrameKind.objects.create(**values)


def make_recipe(candle=None, stages: int = 1, **fields) -> Recipe:
    """A recipe of `stages` stages in the candle's wax and colour; the last one goes on to the gauge."""
    candle = candle or make_candle()
    values = {
        "gauge_low_mm": candle.base_mm - Decimal("0.5"),
        "gauge_high_mm": candle.base_mm + Decimal("0.5"),
        **fields,
    }
    recipe = Recipe.objects.create(candle=candle, **values)
    for place in range(1, stages + 1):
        make_stage(recipe, place=place, until_mm=None if place == stages else candle.base_mm * place / stages)
    return recipe


def make_stage(recipe, **fields) -> Stage:
    candle = recipe.candle
    values = {"place": 1, "wax": candle.wax, "colour": candle.colour, "celsius": Decimal("70"), **fields}
    return Stage.objects.create(recipe=recipe, **values)


def make_hours(weekdays=range(5), starts=time(8), ends=time(17)) -> list[WorkingDay]:
    """The same hours on each of the weekdays, Monday to Friday when none is named."""
    return [
        WorkingDay.objects.update_or_create(weekday=day, defaults={"starts": starts, "ends": ends})[0]
        for day in weekdays
    ]


def make_want(candle=None, pairs: int = 48, **fields) -> Want:
    values = {"wanted_by": date(2026, 12, 4), "for_whom": "Shop 1, 1001", "made_at": timezone.now(), **fields}
    return Want.objects.create(candle=candle or make_candle(), pairs=pairs, **values)


def make_frame(candle=None, state: str = "threaded", wants=None, by=None, recipe: bool = True, **fields) -> Frame:
    """A frame in that state. Hanging it takes a carousel and its first free position unless they are given.

    `wants`: want -> pairs of firsts it is hung for. The candle gets a recipe if it has none and `recipe` is left on.
    """
    candle = candle or make_candle()
    if recipe and not Recipe.objects.filter(candle=candle).exists():
        make_recipe(candle)
    values = {"code": f"FT{next(_serial)}", "hung": 48, "threaded_at": timezone.now() - timedelta(hours=4), **fields}
    values.setdefault("kind", FrameKind.objects.first() or make_frame_kind())
    if state == "hanging":
        values.setdefault("carousel", Carousel.objects.first() or make_carousel())
        values.setdefault("position", _free_position(values["carousel"]))
    if state in ("off", "graded"):
        values.setdefault("off_at", timezone.now() - timedelta(hours=30))
        values.setdefault("hard_at", values["off_at"] + timedelta(hours=24))
        values.setdefault("done", True)
    wants = wants or {}
    frame = Frame.objects.create(
        candle=candle,
        state=state,
        hung_for=sum(wants.values()),
        expected=values.pop("expected", values["hung"]),
        threaded_by=by or make_person("dipper"),
        **values,
    )
    for want, pairs in wants.items():
        HungFor.objects.create(frame=frame, want=want, pairs=pairs)
    return frame


def _free_position(carousel) -> int:
    taken = set(Frame.objects.filter(carousel=carousel).values_list("position", flat=True))
    return next(place for place in itertools.count(1) if place not in taken)


def make_run(carousel=None, vat=None, frames=(), by=None, **fields) -> DipRun:
    """A run begun two hours ago and still on; `frames` are noted with the dips they have."""
    values = {
        "code": f"RT{next(_serial)}",
        "turn_minutes": Decimal("4"),
        "started_at": timezone.now() - timedelta(hours=2),
        **fields,
    }
    vat = vat or make_vat()
    run = DipRun.objects.create(
        carousel=carousel or make_carousel(),
        vat=vat,
        wax=values.pop("wax", vat.wax),
        colour=values.pop("colour", vat.colour),
        started_by=by or make_person("dipper"),
        **values,
    )
    for frame in frames:
        RunFrame.objects.create(run=run, frame=frame, dips=frame.dips)
    return run


def make_reading(frame, mm, by=None, **fields) -> GaugeReading:
    """A gauge reading of `mm` after the dips the frame has, in the stage it is in."""
    values = {"stage": frame.stage, "dips": frame.dips, "at": timezone.now(), **fields}
    return GaugeReading.objects.create(frame=frame, mm=Decimal(str(mm)), person=by or make_person("dipper"), **values)
