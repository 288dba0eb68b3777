"""What shops booked in the two seasons before this book was begun, so that the season has something to stand beside.

All invented, by the same kind of dice as the year in the book: the shape of the years is alike, their size grows.
"""

import random
import uuid
from datetime import date, timedelta

from django.utils import timezone

from config.demo.history import HEAVY_BASE_MM, van_day
from config.demo.lots import BATCH
from config.demo.season import MONTHS, PIVOT, order_lines
from inventory.models import Candle, Shelf
from orders.domain.season import book_begun
from orders.models import BookedBefore, Shop

YEAR = 365
ORDERS_A_YEAR = (3.9, 3.6)  # a shop's, on the mean: last year, the year before
ROOM = {"A1": 2600, "A2": 2600, "B1": 2200, "B2": 2200, "C1": 3000, "D1": 400, "E1": 1400}  # pairs a shelf holds


def write_seasons_before(rng: random.Random, *, today: date, candles: list[Candle], shops: list[Shop], owner) -> None:
    """The rows of two years, up to the day the book begins; and how much each shelf holds."""
    for code, room in ROOM.items():
        Shelf.objects.filter(code=code).update(room_pairs=room)
    heavy = {index for index, candle in enumerate(candles) if candle.base_mm >= HEAVY_BASE_MM}
    begun, now, rows = book_begun() or today, timezone.now(), []
    for shop in shops:
        favourites = rng.sample(range(len(candles)), k=min(len(candles), 10 + rng.randrange(14)))
        size = rng.lognormvariate(0, 0.5)
        for years, mean in enumerate(ORDERS_A_YEAR, start=1):
            of_year = {
                "shop": shop, "submission": uuid.uuid5(uuid.NAMESPACE_OID, f"wickturn demo season before {years}"),
                "made_at": now, "made_by": owner,
            }  # fmt: skip
            for _ in range(round(mean * size)):
                day = _day(rng, today, years)
                lines = order_lines(rng, favourites, heavy=heavy, candles=len(candles))
                sent = {"placed_on": day, "ship_by": van_day(day + timedelta(days=9)), **of_year}
                if day < begun:
                    rows += [BookedBefore(candle=candles[candle], pairs=pairs, **sent) for candle, pairs in lines]
    BookedBefore.objects.bulk_create(rows, batch_size=BATCH)


def _day(rng: random.Random, today: date, years: int) -> date:
    """A working day of the year that ended so many years ago, drawn with the season's weights."""
    while True:
        back = years * YEAR + rng.randrange(YEAR)
        season_day, day = PIVOT - timedelta(days=back), today - timedelta(days=back)
        if day.weekday() < 5 and rng.random() < MONTHS[season_day.month - 1] / max(MONTHS):
            return day
