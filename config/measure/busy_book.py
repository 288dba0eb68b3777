"""A busy book to measure on: the demo's catalogue, shops and prices, and as many open lines and lots as are asked for.

All invented. Rows go straight into the tables, in a state that the audit finds nothing wrong with: nothing is set
aside yet, every open line has its want, every lot's pairs came in by one movement.
"""

import uuid
from dataclasses import dataclass
from datetime import date, timedelta
from random import Random

from django.utils import timezone

from config.demo.catalogue import make_house
from config.demo.prices import make_prices
from config.demo.shops import make_shops
from config.models import Person
from inventory.domain.lot_codes import code_stem
from inventory.models import FIRSTS, Candle, Lot, Movement
from orders.domain.ordering import TERMS
from orders.models import Address, Order, OrderLine, Series, Shop
from production.models import Want

SEED, BATCH = 1124, 400
LINES_A_ORDER = 20  # BASELINES A: wholesale-like orders have a mean of 15.8, all trade orders of 21.5
PAIRS = (6, 12, 12, 24, 24, 36, 48)
LOT_PAIRS = (16, 24, 32, 40, 48)  # with two lines a lot, about two thirds of what is wanted lies there
FURTHEST = 45  # days to the last ship-by date


@dataclass(frozen=True)
class Busy:
    """Who works in it, what it sells, and to whom."""

    by: Person
    candles: list[Candle]
    shops: list[Shop]


def make_busy(*, complete_only: bool = False) -> Busy:
    """An empty, migrated book gets candles, shops and prices. With `complete_only` one shop in six takes all or
    nothing, as in the demo; without it none does.
    """
    dice = Random(SEED)  # noqa: S311 - the same book every time
    by = Person.objects.create(username="measured", full_name="Measured Hand", owner=True)
    candles, shops = make_house(), make_shops(dice)
    make_prices(timezone.localdate(), candles, shops)
    # Everybody may be sent to.
    Shop.objects.update(on_stop=False, stop_reason="", pro_forma_first=False, credit_limit=None)
    if not complete_only:
        Shop.objects.update(complete_only=False)
    return Busy(by, candles, list(Shop.objects.order_by("pk")))


def take_orders(book: Busy, lines: int, *, lots: int = 0) -> list[Order]:
    """Confirmed orders of firsts with so many open lines in all, and so many lots lying free to fill them."""
    dice = Random(f"{SEED} {lines} {lots}")  # noqa: S311 - as above
    _lay_in(book, dice, lots)
    addresses = {one.shop_id: one for one in Address.objects.filter(kind="delivery", usual=True)}
    today, series = timezone.localdate(), Series.objects.get(name="order")
    orders = []
    for place in range(-(-lines // LINES_A_ORDER)):
        shop = dice.choice(book.shops)
        ship_by = today + timedelta(days=dice.randrange(1, FURTHEST))
        orders.append(_order(series.next + place, shop, addresses[shop.pk], ship_by, book.by))
    Order.objects.bulk_create(orders, batch_size=BATCH)
    series.next += len(orders)
    series.save()
    places = [(orders[n // LINES_A_ORDER], n % LINES_A_ORDER + 1) for n in range(lines)]
    rows = [
        OrderLine(
            order=order, position=place, candle=candle, pairs=dice.choice(PAIRS), price=candle.trade_price,
            price_from="trade price",
        )
        for (order, place), candle in zip(places, dice.choices(book.candles, k=lines), strict=True)
    ]  # fmt: skip
    wants = Want.objects.bulk_create([_want(row) for row in rows], batch_size=BATCH)
    for row, want in zip(rows, wants, strict=True):
        row.want = want
    OrderLine.objects.bulk_create(rows, batch_size=BATCH)
    return orders


def _order(number: int, shop: Shop, address: Address, ship_by: date, by: Person) -> Order:
    return Order(
        number=number, shop=shop, status="confirmed", ship_by=ship_by, deliver_to=address, made_by=by,
        placed_on=timezone.localdate(), confirmed_at=timezone.now(), submission=uuid.UUID(int=number),
        reference=f"M{number}", **{name: getattr(shop, name) for name in TERMS},
    )  # fmt: skip


def _want(line: OrderLine) -> Want:
    order = line.order
    return Want(
        candle=line.candle, pairs=line.pairs, wanted_by=order.ship_by, for_whom=str(order.shop), rank=order.shop.rank,
        group=f"order {order.number}", all_or_nothing=order.complete_only, made_at=timezone.now(),
    )  # fmt: skip


def _lay_in(book: Busy, dice: Random, lots: int) -> None:
    """Lots of the last four weeks: two of a candle that were dipped on one day came out of one run."""
    today, now, rows = timezone.localdate(), timezone.now(), []
    for serial in range(lots):
        candle, made_on = dice.choice(book.candles), today - timedelta(days=dice.randrange(1, 29))
        rows.append(
            Lot(
                code=f"{code_stem(FIRSTS, made_on)}{serial:04d}", candle=candle, grade=FIRSTS, shelf=candle.shelf,
                made_on=made_on, dip_run=f"M{made_on:%m%d}-{candle.pk}", on_hand=dice.choice(LOT_PAIRS),
            )
        )  # fmt: skip
    Lot.objects.bulk_create(rows, batch_size=BATCH)
    Movement.objects.bulk_create(
        [
            Movement(lot=lot, kind="counted in", pairs=lot.on_hand, reason="laid in", person=book.by, at=now)
            for lot in rows
        ],
        batch_size=BATCH,
    )
