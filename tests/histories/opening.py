"""The book every history begins on: a workshop, three candles in both grades, four shops, a floor, three people."""

from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from decimal import Decimal

from django.conf import settings
from django.test import Client

from inventory.models import Candle, Lot, Shelf
from orders.models import BoxKind, Series, Shop
from production.models import Carousel, FrameKind, Vat
from tests.factories.floor import make_carousel, make_frame_kind, make_hours, make_recipe, make_vat
from tests.factories.house import make_candle, make_colour, make_lot, make_person, make_shelf, make_wax, make_workshop
from tests.factories.materials import make_blend, make_dye, make_material, make_material_lot
from tests.factories.trade import make_box_kind, make_shop, make_van_days
from tests.histories import model as plain
from tests.histories.clock import Clock

# (code, pence, VAT class, pairs of firsts by lot, pairs of seconds by lot)
CANDLES = (
    ("IV250", "2.20", "standard", (30, 24, 6), (12, 5)),
    ("RD250", "1.35", "standard", (40, 9), (8,)),
    ("ST100", "0.95", "zero", (18,), (20, 4)),
)
SHOPS = (
    {"name": "The Lamp Room"},
    {"name": "Orrin Stores", "discount": Decimal("12.5"), "carriage": Decimal("8.50"),
     "carriage_free_above": Decimal("60"), "rank": 1},
    {"name": "Chandler and Daughter", "complete_only": True, "carriage": Decimal("4.25")},
    {"name": "Quay Gifts", "credit_limit": Decimal("75"), "discount": Decimal("5")},
)  # fmt: skip


@dataclass
class Opening:
    clock: Clock
    people: list
    candles: list[Candle]
    shops: list[Shop]
    shelf: Shelf
    kind: BoxKind
    vats: list[Vat] = field(default_factory=list)
    carousels: list[Carousel] = field(default_factory=list)
    frame_kind: FrameKind | None = None
    model: plain.Model = field(default_factory=plain.Model)
    opened_at: datetime | None = None
    submissions: int = 0
    client: Client | None = None


def open_book(clock: Clock) -> Opening:
    """Made once; histories that follow begin on it and are rolled back to it."""
    make_workshop()
    make_van_days()
    people = [make_person(full_name=name, username=name.lower()) for name in ("Ada", "Bert", "Cora")]
    box, label = make_material("box"), make_material("label")
    kind = make_box_kind(name="Standard box", standard=True, material=box, label=label)
    make_box_kind(name="Tall box", length_mm=420, width_mm=300, height_mm=200)
    opening = Opening(clock, people, [], [], make_shelf(), kind, opened_at=clock.now)
    for material in (box, label):
        make_material_lot(material, 40, by=people[0])
    _make_candles(opening)
    opening.shops = [make_shop(**fields) for fields in SHOPS]
    _make_floor(opening)
    opening.client = Client()
    opening.client.force_login(people[0], backend=settings.AUTHENTICATION_BACKENDS[-1])
    opening.model.numbers = dict(Series.objects.values_list("name", "next"))
    return opening


def _make_candles(opening: Opening) -> None:
    by, today = opening.people[0], opening.clock.today
    wax, colours = make_wax(), [make_colour(), make_colour()]
    for material in make_blend(wax, paraffin=80, stearin=20):
        make_material_lot(material, 60_000, by=by)
    make_material_lot(make_dye(colours[0]), 300, by=by)
    wick = make_material("wick")
    make_material_lot(wick, 50_000, by=by)
    for place, (code, price, vat_class, firsts, seconds) in enumerate(CANDLES):
        candle = make_candle(
            code=code, trade_price=Decimal(price), vat_class=vat_class, wax=wax, colour=colours[place % 2],
            length_mm=Decimal(code[2:]), wick_of=wick, shelf=opening.shelf, pairs_per_box=24,
        )  # fmt: skip
        make_recipe(candle)
        opening.candles.append(candle)
        for n, pairs in enumerate(firsts):
            run = "R26-1" if n < 2 else ""
            _adopt(opening, make_lot(candle, pairs, by=by, made_on=_days_ago(today, 20 - n), dip_run=run))
        for n, pairs in enumerate(seconds):
            made_on = _days_ago(today, 40 - n)
            _adopt(opening, make_lot(candle, pairs, by=by, grade="seconds", fault="bent", made_on=made_on))


def _days_ago(today: date, days: int) -> date:
    return today - timedelta(days=days)


def _adopt(opening: Opening, lot: Lot) -> None:
    opening.model.lots[lot.pk] = plain.Lot(lot.pk, lot.candle_id, lot.grade, lot.made_on, lot.on_hand)


def _make_floor(opening: Opening) -> None:
    make_hours()
    opening.frame_kind = make_frame_kind()
    wax = opening.candles[0].wax
    # The third candle has the first one's colour, so there are two vats a run can be moved between.
    opening.vats = [make_vat(wax=wax, colour=candle.colour) for candle in opening.candles]
    opening.carousels = [make_carousel(), make_carousel()]
