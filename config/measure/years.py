"""A workshop's season, straight into the tables by bulk: what a measure of pages opens. All of it is made up.

The open orders are set aside for by the book's own rule, so that they have cover of every kind, promises and wants.
"""

import uuid
from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal
from random import Random

from django.utils import timezone

from config.models import Person
from inventory.models import Candle, Colour, Lot, Movement, Shelf, Wax, Workshop
from orders.domain.setting_aside import set_aside_book
from orders.models import Address, Order, OrderLine, Shop
from orders.models.order import CONFIRMED
from production.models import (
    Carousel,
    DipPlan,
    DipRun,
    Frame,
    FrameKind,
    HungFor,
    PlannedFor,
    PlannedFrame,
    Recipe,
    RunFrame,
    Stage,
    Vat,
    Want,
    WaxHeat,
)


@dataclass(frozen=True)
class Size:
    """Of the book. An order has about `lines` lines, open or not; lots with stock are for the open orders."""

    candles: int = 120
    shops: int = 80
    open_orders: int = 150
    lines: int = 20
    lots: int = 1500
    orders_a_year: int = 2500


SEASON = Size()
SMALL = Size(candles=8, shops=3, open_orders=4, lines=5, lots=20, orders_a_year=6)


def make_season(size: Size) -> Person:
    """Catalogue, stock, open orders and floor. The owner of it all."""
    dice = Random(1)  # noqa: S311
    owner = Person.objects.create(username="owen", full_name="Owen Marsh", owner=True, password="!")  # noqa: S106
    Workshop.objects.create(name="Tallow Lane Candles", town="Wexcombe")
    candles = _catalogue(size)
    _stock(size, candles, owner, dice)
    orders = make_orders(size.open_orders, 1_000_001, _shops(size), owner, dice, status=CONFIRMED)
    Order.objects.bulk_create(orders)
    OrderLine.objects.bulk_create(lines_of(orders, size, candles, dice))
    set_aside_book(by=owner)
    _floor(candles, owner)
    return owner


def _catalogue(size: Size) -> list[Candle]:
    wax = Wax.objects.create(name="Paraffin", density_solid=Decimal("0.9"), density_liquid=Decimal("0.78"))
    WaxHeat.objects.create(wax=wax, congeals_c=58, flash_c=190)
    colours = Colour.objects.bulk_create(
        Colour(code=f"C{n}", name=f"Colour {n}", hex=f"#{40 + 15 * n:02x}c0a0") for n in range(12)
    )
    shelves = Shelf.objects.bulk_create(Shelf(code=f"S{n}", walk=n) for n in range(8))
    return Candle.objects.bulk_create(
        Candle(
            code=f"T{n:03d}",
            name=f"Taper {n}, as long as {200 + n} mm",
            length_mm=200 + n,
            base_mm=Decimal(22),
            tip_mm=Decimal(16),
            wax=wax,
            colour=colours[n % 12],
            wick="flat braid",
            pairs_per_box=24,
            trade_price=Decimal("2.20"),
            shelf=shelves[n % 8],
        )
        for n in range(size.candles)
    )


def _stock(size: Size, candles: list[Candle], owner: Person, dice: Random) -> None:
    today = timezone.localdate()
    lots = Lot.objects.bulk_create(
        Lot(
            code=f"{'S' if n % 20 == 0 else 'F'}-{n}",
            candle=candles[n % len(candles)],
            grade="seconds" if n % 20 == 0 else "firsts",
            fault="bent" if n % 20 == 0 else "",
            made_on=today - timedelta(days=n % 90),
            on_hand=dice.randrange(12, 60),
            shelf=candles[n % len(candles)].shelf,
        )
        for n in range(size.lots)
    )
    Movement.objects.bulk_create(
        Movement(lot=lot, kind="counted in", pairs=lot.on_hand, reason="laid out", person=owner, at=timezone.now())
        for lot in lots
    )


def _shops(size: Size) -> list[Shop]:
    shops = Shop.objects.bulk_create(
        Shop(name=f"Shop {n} by the harbour", town="Orrin Bay", credit_limit=Decimal(900_000))
        for n in range(size.shops)
    )
    Address.objects.bulk_create(
        Address(shop=shop, kind="delivery", label="Shop", lines="4 Tanner Row", town=shop.town, usual=True)
        for shop in shops
    )
    return shops


def make_orders(count: int, first: int, shops: list[Shop], owner: Person, dice: Random, **fields) -> list[Order]:
    """Orders not saved, numbered from `first`, to be sent from last week to seven weeks ahead."""
    today, now = timezone.localdate(), timezone.now()
    return [
        Order(
            number=first + n,
            shop=shops[n % len(shops)],
            placed_on=today - timedelta(days=dice.randrange(5, 40)),
            ship_by=today + timedelta(days=n * 50 // count - 5),
            confirmed_at=now,
            made_by=owner,
            submission=uuid.UUID(int=dice.getrandbits(128)),
            **fields,
        )
        for n in range(count)
    ]


def lines_of(orders: list[Order], size: Size, candles: list[Candle], dice: Random, sent: bool = False):
    """Lines not saved: 6 to 36 pairs each, `sent` or nothing of them yet."""
    for order in orders:
        for place, candle in enumerate(dice.sample(candles, size.lines), start=1):
            pairs = 6 * dice.randrange(1, 7)
            values = {"price": candle.trade_price, "price_from": "trade price", "sent": pairs if sent else 0}
            yield OrderLine(order=order, position=place, candle=candle, pairs=pairs, **values)


def _floor(candles: list[Candle], owner: Person) -> None:
    """Frames that hang or harden for what is wanted, and a plan that hangs more of them."""
    kind = FrameKind.objects.create(name="Frame", bars=4, usable_mm=800)
    _recipes(candles)
    wanted = list(Want.objects.select_related("candle").order_by("wanted_by", "pk"))
    now, frames = timezone.now(), []
    vat = Vat.objects.create(
        name="Vat", wax=candles[0].wax, colour=candles[0].colour, depth_mm=480, length_mm=600, width_mm=400, set_c=70
    )
    carousels = Carousel.objects.bulk_create(Carousel(name=f"Carousel {n}") for n in (1, 2))
    for n, want in enumerate(wanted[0::3][:24]):
        off = {
            "state": "off",
            "off_at": now - timedelta(hours=n),
            "hard_at": now + timedelta(hours=24 - n),
            "done": True,
        }
        hangs = {"state": "hanging", "carousel": carousels[n % 2], "position": n // 2 + 1, "dips": n}
        values = {"hung": 48, "hung_for": want.pairs, "expected": 48, "threaded_at": now, "threaded_by": owner}
        frames.append(Frame(code=f"FT{n}", kind=kind, candle=want.candle, **values, **(hangs if n < 12 else off)))
    Frame.objects.bulk_create(frames)
    HungFor.objects.bulk_create(
        HungFor(frame=frame, want=want, pairs=want.pairs) for frame, want in zip(frames, wanted[0::3], strict=False)
    )
    run = DipRun.objects.create(
        code="R1",
        carousel=carousels[0],
        vat=vat,
        wax=vat.wax,
        colour=vat.colour,
        turn_minutes=6,
        started_at=now - timedelta(hours=2),
        started_by=owner,
    )
    RunFrame.objects.bulk_create(RunFrame(run=run, frame=frame) for frame in frames if frame.carousel == carousels[0])
    _plan(wanted[1::3][:70], kind, vat, carousels[0], owner)


def _recipes(candles: list[Candle]) -> None:
    recipes = Recipe.objects.bulk_create(
        Recipe(candle=candle, gauge_low_mm=Decimal("21.5"), gauge_high_mm=Decimal("22.5")) for candle in candles
    )
    Stage.objects.bulk_create(
        Stage(recipe=recipe, place=1, wax=recipe.candle.wax, colour=recipe.candle.colour, celsius=70)
        for recipe in recipes
    )


def _plan(wanted: list[Want], kind: FrameKind, vat: Vat, carousel: Carousel, owner: Person) -> None:
    now = timezone.now()
    plan = DipPlan.objects.create(begins=now, problem={}, answer={}, made_at=now, made_by=owner)
    starts = now + timedelta(days=1)
    when = {"starts": starts, "first_dip": starts, "last_dip": starts + timedelta(hours=5)}
    frames = PlannedFrame.objects.bulk_create(
        PlannedFrame(
            plan=plan,
            number=n + 1,
            candle=want.candle,
            kind=kind,
            pairs=48,
            counted=48,
            vat=vat,
            carousel=carousel,
            position=1,
            hard_at=starts + timedelta(days=1),
            ready_on=(starts + timedelta(days=2)).date(),
            **when,
        )
        for n, want in enumerate(wanted)
    )
    PlannedFor.objects.bulk_create(
        PlannedFor(frame=frame, want=want, pairs=want.pairs) for frame, want in zip(frames, wanted, strict=True)
    )
