"""What tests of the floor's set-up pages share: every list with a good row, and the forms of vats and recipes."""

import uuid
from datetime import date, time
from decimal import Decimal

from django.db import connection
from django.test.utils import CaptureQueriesContext

from production.models import Carousel, ChangeOver, DayOff, FrameKind, WaxHeat, WorkingDay
from tests.factories import make_carousel, make_colour, make_frame_kind, make_heat, make_wax
from tests.factories.floor import make_change_over

CAROUSELS, KINDS, HOURS, DAYS, HEATS, CHANGES = (
    f"/set-up/{name}/"
    for name in ("carousels", "frame-kinds", "working-hours", "days-off", "wax-heat", "change-over-times")
)
CAROUSEL = {"name": "By the window", "positions": "6", "active": "on"}
KIND = {
    "name": "Large",
    "bars": "4",
    "usable_mm": "800",
    "pitch": "3",
    "iron_g": "1500",
    "over_mm": "60",
    "active": "on",
}
HOUR = {"weekday": "0", "starts": "08:00", "ends": "16:30"}
DAY = {"day": "2026-12-25", "note": "Christmas"}
HEAT = {"congeals_c": "58", "flash_c": "190", "discolours_c": "", "in_hand_kg": ""}
FIGURES = {
    "confidence": "0.95",
    "plan_days": "15",
    "hands": "2",
    "thread_minutes": "15",
    "handling_seconds": "12",
    "change_colour_minutes": "45",
    "change_wax_minutes": "120",
    "version": "1",
}


def heat_data() -> dict:
    return {**HEAT, "wax": str(make_wax().pk)}


def change_data() -> dict:
    wax, light, dark = str(make_wax().pk), str(make_colour().pk), str(make_colour().pk)
    return {"from_wax": wax, "from_colour": light, "to_wax": wax, "to_colour": dark, "minutes": "30"}


# name: address, what a good form sends, model, a row straight into the table, the field a test changes and to what
LISTS = {
    "carousel": (CAROUSELS, lambda: CAROUSEL, Carousel, make_carousel, ("positions", "8")),
    "kind": (KINDS, lambda: KIND, FrameKind, make_frame_kind, ("iron_g", "1700")),
    "hours": (
        HOURS,
        lambda: HOUR,
        WorkingDay,
        lambda: WorkingDay.objects.create(weekday=4, starts=time(8), ends=time(12)),
        ("ends", "17:00"),
    ),
    "day": (DAYS, lambda: DAY, DayOff, lambda: DayOff.objects.create(day=date(2026, 8, 31)), ("note", "Holiday")),
    "change": (CHANGES, change_data, ChangeOver, make_change_over, ("minutes", "75")),
    "heat": (HEATS, heat_data, WaxHeat, lambda: make_heat(make_wax()), ("flash_c", "185")),
}


def vat_data(**changes) -> dict:
    values = {
        "name": "Vat 9",
        "depth_mm": "480",
        "length_mm": "600",
        "width_mm": "400",
        "keep_mm": "25",
        "set_c": "70",
        "cut_out_c": "110",
        "active": "on",
        "version": "0",
    }
    return {**values, **changes}


def doing(name: str, **fields) -> dict:
    """The form of one doing at a vat, with a submission of its own."""
    return {f"{name}-{field}": value for field, value in {"submission": str(uuid.uuid4()), **fields}.items()}


def recipe_data(candle, *stages: dict, **changes) -> dict:
    """A recipe's form; each stage is the candle's own wax and colour but for what is named."""
    values = {
        "version": "0",
        "start_mm": "2",
        "gauge_low_mm": str(candle.base_mm - Decimal("0.5")),
        "gauge_high_mm": str(candle.base_mm + Decimal("0.5")),
        "harden_hours": "24",
        "firsts_good": "45",
        "firsts_of": "48",
        "stages-TOTAL_FORMS": str(len(stages)),
        "stages-INITIAL_FORMS": "0",
        **changes,
    }
    usual = {
        "wax": str(candle.wax_id),
        "colour": str(candle.colour_id),
        "celsius": "70",
        "growth_mm": "0.6",
        "seconds_in": "3",
        "turn_minutes": "4",
        "until_mm": "",
        "finish_dips": "0",
    }
    for number, stage in enumerate(stages):
        values |= {f"stages-{number}-{name}": value for name, value in {**usual, **stage}.items()}
    return values


def asked(client, address: str) -> int:
    """How many queries the page takes, counted at once: the next request empties the log."""
    with CaptureQueriesContext(connection) as queries:
        assert client.get(address).status_code == 200
        return len(queries)
