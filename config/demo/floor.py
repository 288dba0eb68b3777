"""The demo's floor before anything hangs on it: vats, carousels, kinds of frame, hours, recipes. All invented."""

from dataclasses import dataclass
from datetime import date, time
from decimal import Decimal

from django.utils import timezone

from inventory.models import Candle, Colour, Wax
from production.domain.recipes import make_default_recipes
from production.models import Carousel, DayOff, FloorFigures, FrameKind, Stage, Vat, WaxHeat, WorkingDay
from production.pitch import pairs_on_frame

# Wax: congeals, lowest flash point, discolours above (C), growth a dip (mm). Figures: TRADE W3 to W23, D1.
WAXES = {
    "Paraffin, dipping blend": ("58", "190", None, "0.620"),
    "Stearin blend": ("56", "190", None, "0.570"),
    "Beeswax": ("63", "204", "85", "0.520"),
}
# Name: wax, colour, depth, length, width (mm), thermostat (C), in use. The deep one takes church candles.
VATS = (
    ("North vat", "Paraffin, dipping blend", "IV", 480, 700, 450, "68", True),
    ("South vat", "Paraffin, dipping blend", "RD", 480, 700, 450, "68", True),
    ("Deep vat", "Stearin blend", "WH", 760, 600, 400, "66", True),
    ("Old vat", "Paraffin, dipping blend", "WH", 400, 400, 300, "68", False),
)
CAROUSELS = ("Anvil", "Bellows", "Cradle", "Drum", "Easel", "Ferry")
# Name: bars, usable length (mm), iron (g). Thick candles hang on the short frame: a full one must still be lifted.
FRAME_KINDS = (("Four-bar frame", 4, 800, 1500), ("Three-bar frame", 3, 700, 1200), ("Church frame", 2, 620, 1800))
SLIM_MM, THICK_MM = 13, 28


@dataclass(frozen=True)
class Works:
    """The floor's fixed things. Vats in use by the wax that usually stands in them."""

    vats: dict[str, list[Vat]]
    carousels: list[Carousel]
    kinds: list[FrameKind]

    def kind_for(self, candle: Candle) -> FrameKind:
        return self.kinds[1 if candle.base_mm <= SLIM_MM else 2 if candle.base_mm >= THICK_MM else 0]

    def load(self, candle: Candle) -> int:
        """Pairs of the candle on its kind of frame."""
        kind = self.kind_for(candle)
        return pairs_on_frame(kind.bars, kind.usable_mm, candle.base_mm, kind.pitch).pairs

    def vats_for(self, candle: Candle) -> list[Vat]:
        return self.vats[candle.wax.name]


def make_works(by) -> Works:
    """Everything the floor has, and a recipe for every candle."""
    waxes = {wax.name: wax for wax in Wax.objects.all()}
    colours = {colour.code: colour for colour in Colour.objects.all()}
    for name, (congeals, flash, discolours, _) in WAXES.items():
        heat = {"congeals_c": Decimal(congeals), "flash_c": Decimal(flash)}
        WaxHeat.objects.create(wax=waxes[name], discolours_c=Decimal(discolours) if discolours else None, **heat)
    vats = [_vat(waxes, colours, row) for row in VATS]
    for weekday in range(5):
        WorkingDay.objects.create(weekday=weekday, starts=time(7, 30), ends=time(16 if weekday == 4 else 17))
    close_over_christmas(timezone.localdate().year)
    FloorFigures.objects.get_or_create(pk=1)
    make_default_recipes(by=by)
    for name, (*_, growth) in WAXES.items():
        Stage.objects.filter(wax=waxes[name], finish_dips=0).update(growth_mm=Decimal(growth))
    return Works(
        {"Paraffin, dipping blend": vats[:2], "Stearin blend": vats[2:3], "Beeswax": vats[2:3]},
        [Carousel.objects.create(name=name) for name in CAROUSELS],
        [FrameKind.objects.create(name=n, bars=b, usable_mm=mm, iron_g=g) for n, b, mm, g in FRAME_KINDS],
    )


def _vat(waxes, colours, row: tuple) -> Vat:
    name, wax, colour, depth, length, width, set_c, active = row
    return Vat.objects.create(
        name=name, wax=waxes[wax], colour=colours[colour], depth_mm=depth, length_mm=length, width_mm=width,
        set_c=Decimal(set_c), active=active,
    )  # fmt: skip


def close_over_christmas(year: int) -> None:
    """The days nobody dips."""
    for month, day, note in ((12, 25, "Christmas Day"), (12, 26, "Boxing Day"), (12, 28, "stocktaking")):
        DayOff.objects.create(day=date(year, month, day), note=note)
