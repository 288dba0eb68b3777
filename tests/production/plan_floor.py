"""A small floor to plan: two vats of one wax, three positions each, an ivory and a red candle done in seven dips."""

from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal

from django.db import transaction

from inventory.models import Candle, Colour, Wax
from production.dip_plan.construct import construct
from production.domain.dip_plan.load import load_problem
from production.domain.dip_plan.search import lock_plan
from production.domain.dip_plan.take_over import stand
from production.models import Carousel, DipPlan, FrameKind, Vat, Want
from tests.factories import make_candle, make_colour, make_person, make_wax
from tests.factories.floor import (
    make_carousel,
    make_frame_kind,
    make_hours,
    make_recipe,
    make_stage,
    make_vat,
    make_want,
)

MONDAY = datetime(2026, 11, 30, 7, 0, tzinfo=UTC)  # an hour before the floor opens
THURSDAY, FRIDAY = date(2026, 12, 3), date(2026, 12, 4)


@dataclass
class PlanFloor:
    by: object
    wax: Wax
    ivory: Colour
    red: Colour
    north: Vat
    south: Vat
    carousels: list[Carousel]
    kind: FrameKind
    taper: Candle  # ivory
    dinner: Candle  # red
    wants: list[Want]


def quick_candle(wax: Wax, colour: Colour, **fields) -> Candle:
    """A candle of 22 mm with a recipe of some seven dips, hard after 12 hours."""
    candle = make_candle(wax=wax, colour=colour, **fields)
    recipe = make_recipe(candle, stages=0, harden_hours=12)
    make_stage(recipe, growth_mm=Decimal("3"))
    return candle


def make_plan_floor(wants: bool = True) -> PlanFloor:
    """Hours Monday to Friday, 8 to 17. North vat holds ivory, South vat red; nothing hangs yet."""
    make_hours()
    wax, ivory, red = make_wax(name="Paraffin"), make_colour(name="Ivory"), make_colour(name="Winter red")
    north = make_vat(name="North vat", wax=wax, colour=ivory)
    south = make_vat(name="South vat", wax=wax, colour=red)
    carousels = [make_carousel(name=name, positions=3) for name in ("Anvil", "Bellows")]
    taper, dinner = quick_candle(wax, ivory, name="Ivory taper"), quick_candle(wax, red, name="Red dinner")
    rows = []
    if wants:
        rows = [
            make_want(taper, 60, wanted_by=THURSDAY, for_whom="Rushcandle Deli", group="order 1"),
            make_want(dinner, 30, wanted_by=FRIDAY, for_whom="Saltfold Deli", group="order 2", rank=2),
        ]
    owner = make_person("owner")
    return PlanFloor(owner, wax, ivory, red, north, south, carousels, make_frame_kind(), taper, dinner, rows)


def stand_plan(floor: PlanFloor, now: datetime = MONDAY, days: int = 5) -> DipPlan:
    """The first plan there is for the book as it was then, taken over."""
    loaded = load_problem(days=days, now=now)
    with transaction.atomic():
        lock_plan()
        return stand(loaded.problem, construct(loaded.problem), loaded.facts, by=floor.by)
