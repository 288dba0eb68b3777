"""The demo's dip plan: what the vats may hold, how long change-overs take, and a plan that stands. All invented."""

import random
from datetime import date, timedelta

from django.db import transaction

from config.demo.history import HEAVY_BASE_MM
from config.demo.open_orders import workday
from inventory.models import Candle, Colour, Wax
from production.dip_plan.construct import construct
from production.domain.dip_plan.load import load_problem
from production.domain.dip_plan.search import lock_plan
from production.domain.dip_plan.take_over import stand
from production.domain.own_wants import add_own_want
from production.models import ChangeOver, DipPlan, Vat

# Waxes by vat: only the deep one changes its wax.
MAY_HOLD = {
    "North vat": ("Paraffin, dipping blend",),
    "South vat": ("Paraffin, dipping blend",),
    "Deep vat": ("Stearin blend", "Beeswax"),
}
LIGHT, DARK = ("IV", "WH", "RS"), ("RD", "NV", "PL")
TO_DARK, TO_LIGHT = 25, 75  # minutes: dye goes in quickly, and every trace of it has to come out

MARKET, MARKET_CANDLES, MARKET_PAIRS = "Advent market", 26, (48, 72, 96, 144)


def plan_the_floor(rng: random.Random, *, today: date, owner) -> DipPlan:
    """A plan quick to make: whoever presses the button sees it improve."""
    _tell_the_plan()
    _want_for_the_market(rng, today, owner)
    loaded = load_problem()
    with transaction.atomic():
        lock_plan()
        return stand(loaded.problem, construct(loaded.problem), loaded.facts, by=owner)


def _tell_the_plan() -> None:
    waxes = {wax.name: wax for wax in Wax.objects.all()}
    colours = {colour.code: colour for colour in Colour.objects.all()}
    for name, may in MAY_HOLD.items():
        Vat.objects.get(name=name).may_hold.set([waxes[wax] for wax in may])
    paraffin = waxes["Paraffin, dipping blend"]
    pairs = [(light, dark, TO_DARK) for light in LIGHT for dark in DARK]
    pairs += [(dark, light, TO_LIGHT) for light in LIGHT for dark in DARK]
    ChangeOver.objects.bulk_create(
        ChangeOver(
            from_wax=paraffin, from_colour=colours[before], to_wax=paraffin, to_colour=colours[after], minutes=minutes
        )
        for before, after, minutes in pairs
    )


def _want_for_the_market(rng: random.Random, today: date, owner) -> None:
    """What the workshop makes ahead for its own stall: with the orders, more colours than the vats take at once."""
    candles = [candle for candle in Candle.objects.order_by("pk") if candle.base_mm < HEAVY_BASE_MM]
    for candle in rng.sample(candles, k=MARKET_CANDLES):
        by = max(today, workday(today + timedelta(days=rng.randint(4, 9))))
        add_own_want(candle=candle, pairs=rng.choice(MARKET_PAIRS), wanted_by=by, note=MARKET, by=owner)
