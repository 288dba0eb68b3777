"""A year of a small workshop's orders, as plain data (no Django). Shapes from published wholesale order data.

Source of the shapes (ratios only): Chen, Sain and Guo 2012, doi 10.1057/dbm.2012.17, buyers of wholesale kind:
orders by month, about 31-34 % of the orders in October to December, lines an order median 12, units a line median 12,
84 % of the buyers come back, two in five lines repeat what the buyer had before.
"""

import math
import random
from dataclasses import dataclass
from datetime import date, timedelta

# Orders by month, January first; the last row of the source's table for wholesale-like buyers.
MONTHS = (323, 350, 428, 404, 551, 506, 489, 471, 684, 621, 848, 432)
PIVOT = date(2026, 11, 25)  # whatever the day is, the demo stands where the season stands on this one
PAIRS = (6, 6, 12, 12, 12, 12, 18, 24, 24, 36, 48, 72)
FEW_PAIRS = (2, 2, 4, 4, 6, 8, 12)


@dataclass(frozen=True)
class PlannedOrder:
    shop: int  # index into the shops
    placed_on: date
    lines: tuple[tuple[int, int], ...]  # (index into the candles, pairs)
    grade: str = "firsts"


def past_orders(
    rng: random.Random, *, today: date, shops: int, heavy: set[int], candles: int, days: int = 365
) -> list[PlannedOrder]:
    """Orders of the `days` before the last fortnight, oldest first. `heavy`: candles ordered by few pairs."""
    orders = []
    for shop in range(shops):
        # One shop in six ordered once; the rest spread wide, a few order most of the year's goods.
        count = 1 if shop % 6 == 5 else min(20, 2 + round(rng.lognormvariate(0.6, 0.85)))
        favourites = rng.sample(range(candles), k=min(candles, 10 + rng.randrange(14)))
        for _ in range(count):
            day = _day(rng, today, days)
            orders.append(PlannedOrder(shop, day, order_lines(rng, favourites, heavy=heavy, candles=candles)))
    return sorted(orders, key=lambda order: (order.placed_on, order.shop))


def order_lines(
    rng: random.Random, favourites: list[int], *, heavy: set[int], candles: int, longest: int = 40
) -> tuple[tuple[int, int], ...]:
    """Lines of one order: mostly the shop's usual candles, no candle twice."""
    wanted = min(longest, max(1, round(rng.lognormvariate(math.log(11), 0.7))))
    known = rng.sample(favourites, k=min(len(favourites), round(wanted * 0.75)))
    others = [candle for candle in range(candles) if candle not in known]
    picked = known + rng.sample(others, k=min(len(others), wanted - len(known)))
    return tuple((candle, rng.choice(FEW_PAIRS if candle in heavy else PAIRS)) for candle in picked)


def _day(rng: random.Random, today: date, days: int) -> date:
    """A working day of the past, drawn with the season's weights as if today were the pivot."""
    while True:
        back = rng.randrange(14, days)
        season_day = PIVOT - timedelta(days=back)
        day = today - timedelta(days=back)
        if day.weekday() < 5 and rng.random() < MONTHS[season_day.month - 1] / max(MONTHS):
            return day
