"""What a process of the measure of writers does: the book it works on, and setting aside as the house does it."""

import json
import sys
from collections.abc import Callable, Iterator
from datetime import date, timedelta
from time import perf_counter
from uuid import uuid4

from django.db import transaction
from django.utils import timezone

from config.measure.writers_bare import TAKEN, build_bare, take_bare
from config.models import Person
from inventory.models import Candle, Colour, Lot, Movement, Wax
from orders.domain.setting_aside import set_aside_order, sync_wants
from orders.models import Order, OrderLine, Shop

LOTS, ORDERS, PAIRS = 35, 4, 5  # a candle: lots of so many pairs, and orders that empty TAKEN lots each
DAY = date(2026, 11, 2)


def build(orders: int) -> list[int]:
    """So many orders of one line with its want, and the bare loops' tables; the orders' keys."""
    build_bare(orders)
    with transaction.atomic():
        by, shop, candles = _house(-(-orders // ORDERS))
        for n in range(orders):
            sync_wants(_order(n, shop, candles[n % len(candles)], by))
    return list(Order.objects.order_by("pk").values_list("pk", flat=True))


def _house(count: int):
    wax = Wax.objects.create(name="Wax", density_solid="0.9", density_liquid="0.78")
    colour = Colour.objects.create(code="IV", name="Ivory", hex="#f0e3c4")
    shape = {"length_mm": 250, "base_mm": 22, "tip_mm": 16, "wick": "24 ply", "pairs_per_box": 24, "trade_price": 2}
    candles = Candle.objects.bulk_create(
        Candle(code=f"MW{n}", name=f"Candle {n}", wax=wax, colour=colour, **shape) for n in range(count)
    )
    lots = Lot.objects.bulk_create(
        Lot(candle=candle, code=f"{candle.code}-{n}", grade="firsts", made_on=DAY + timedelta(days=n), on_hand=PAIRS)
        for candle in candles
        for n in range(LOTS)
    )
    by = Person.objects.create(username="writer", full_name="Writer", owner=True)
    known = {"kind": "counted in", "pairs": PAIRS, "reason": "made up", "person": by, "at": timezone.now()}
    Movement.objects.bulk_create(Movement(lot=lot, **known) for lot in lots)
    return by, Shop.objects.create(name="Shop"), candles


def _order(n: int, shop, candle, by):
    made = Order.objects.create(
        number=n + 1, shop=shop, status="confirmed", ship_by=DAY + timedelta(days=40), placed_on=DAY,
        confirmed_at=timezone.now(), made_by=by, submission=uuid4(),
    )  # fmt: skip
    OrderLine.objects.create(order=made, position=1, candle=candle, pairs=TAKEN * PAIRS, price=2, price_from="list")
    return made


def ours(orders: list[int]) -> list[float]:
    """Seconds of each: the house sets one line's pairs aside, out of TAKEN of the 20 to 35 lots it looks at."""
    by, rows = Person.objects.get(), Order.objects.in_bulk(orders)

    def work():
        for pk in orders:
            if (pairs := set_aside_order(order=rows[pk], by=by).pairs) != TAKEN * PAIRS:
                raise ArithmeticError(f"order {pk} got {pairs} pairs")
            yield

    return timed(work())


def bare(seed: str, lines: list[int], *, same_rows: bool) -> list[float]:
    """Seconds of each: as take_bare."""
    return timed(take_bare(seed, lines, same_rows=same_rows))


def timed(work: Iterator[None]) -> list[float]:
    took, began = [], perf_counter()
    for _ in work:
        took.append(perf_counter() - began)
        began = perf_counter()
    return took


def serve() -> None:
    """Do as it is told, a line of JSON an order, and answer each with a line."""
    for line in sys.stdin:
        asked = json.loads(line)
        sys.stdout.write(json.dumps(DOES[asked.pop("do")](**asked)) + "\n")
        sys.stdout.flush()


DOES: dict[str, Callable] = {"build": build, "ours": ours, "bare": bare}
