"""Plain factories: each makes one saved row with believable values; anything can be overridden by name."""

from tests.factories.floor import (
    make_carousel,
    make_frame,
    make_frame_kind,
    make_heat,
    make_hours,
    make_reading,
    make_recipe,
    make_run,
    make_stage,
    make_vat,
    make_vat_reading,
    make_want,
)
from tests.factories.house import make_candle, make_colour, make_lot, make_person, make_shelf, make_wax, make_workshop
from tests.factories.trade import (
    make_address,
    make_box_kind,
    make_order,
    make_shop,
    make_van_days,
    make_vat_rates,
)

__all__ = [
    "make_address",
    "make_box_kind",
    "make_candle",
    "make_carousel",
    "make_colour",
    "make_frame",
    "make_frame_kind",
    "make_heat",
    "make_hours",
    "make_lot",
    "make_order",
    "make_person",
    "make_reading",
    "make_recipe",
    "make_run",
    "make_shelf",
    "make_shop",
    "make_stage",
    "make_van_days",
    "make_vat",
    "make_vat_rates",
    "make_vat_reading",
    "make_want",
    "make_wax",
    "make_workshop",
]
