"""Rows of the season's tables, out of what orders.queries.season and season_floor read."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Min, Prefetch, Sum

from inventory.models import FIRSTS, Candle, Lot, Shelf
from orders.models import BookedBefore, Contact, Order, Shop
from orders.models.order import CONFIRMED, DONE
from orders.queries.season import Season
from orders.queries.season_floor import Outlook, SeasonFloor, ahead_list
from orders.season.booking_curve import side_by_side
from orders.season.dates import years_on
from orders.season.make_ahead import Ahead
from orders.season.words import binds_in_words, percent
from production.floor_load import Load
from production.queries.last_orders import LastOrders

WEEK = timedelta(days=7)


def curve_rows(season: Season) -> list[dict]:
    """A row a week from the first day of sending to Christmas Eve, and one of today: pairs booked by that day, this
    season and last."""
    days, total = [season.dates.begins], season.last.curve.total
    while days[-1] < season.dates.ends:
        days.append(min(days[-1] + WEEK, season.dates.ends))
    if days[0] < season.today < days[-1]:
        days = sorted({*days, season.today})
    pairs = [(day, years_on(day, -1)) for day in days]
    rows = side_by_side(season.now.curve, season.last.curve, pairs, season.today)
    return [
        {"day": row.day, "now": row.now, "before": row.before, "share": row.before / total if total else 0.0}
        for row in rows
    ]


def candle_rows(season: Season) -> list[dict]:
    """A row a candle of this season or the last; without a season before, only what is booked. One query."""
    sold = Candle.objects.select_related("wax", "colour").in_bulk()
    outlooks = season.by_candle({pk for pk, candle in sold.items() if candle.active})
    if not outlooks:
        booked = season.now.early_by_candle.items()
        return [_candle_row(sold[pk], booked=pairs, total=pairs) for pk, pairs in booked]
    return [
        _candle_row(
            sold[row.candle], booked=row.booked, early=row.early, last=row.last, rest=row.rest, low=row.low,
            high=row.high, total=row.total,
        )
        for row in outlooks
    ]  # fmt: skip


def _candle_row(candle: Candle, **pairs: int) -> dict:
    return {"candle": candle, "early": 0, "last": 0, "rest": 0, "low": 0, "high": 0, **pairs}


def load_rows(floor: SeasonFloor, trial: SeasonFloor | None = None) -> list[dict]:
    """A row a week; `trial` the same weeks with something changed."""
    tried = {week.monday: trial.asked.load(place) for place, week in enumerate(trial.asked.weeks)} if trial else {}
    rows = []
    for week, (asked, level) in zip(floor.asked.weeks, floor.loads, strict=True):
        other = tried.get(week.monday)
        rows.append(
            {
                "monday": week.monday, "frames": round(asked.threading), "level": percent(level.most),
                "hands": f"{round(asked.threading)} of {week.threads}",
                "turns": _hours_of(asked), "positions": percent(asked.positions),
                "binds": _binds(floor, asked),
                "trial": percent(other.most) if other else "–",
            }
        )  # fmt: skip
    return rows


def _binds(floor: SeasonFloor, load: Load) -> str:
    return f"{percent(load.most)}: {binds_in_words(floor.asked, load)}" if load.most else "nothing to do"


def _hours_of(load: Load) -> str:
    return f"{load.turn_s / 3600:.0f} of {load.turns_there_s / 3600:.0f} h"


def last_order_rows(last: LastOrders, candles: Mapping[int, Candle], free: Mapping[int, int]) -> list[dict]:
    """A row a candle the plan knows."""
    return [
        {
            "candle": candles[pk], "pairs": day.pairs, "on": day.on, "crowded": last.crowded[pk].on,
            "ready": day.ready, "free": free.get(pk, 0), "binds": day.binds,
        }
        for pk, day in last.days.items()
    ]  # fmt: skip


def last_colour_rows(last: LastOrders, candles: Mapping[int, Candle]) -> list[dict]:
    """A row a wax and colour: until when every candle of it, and the last of them, can be ordered."""
    groups: dict[tuple, list[int]] = {}
    for pk in last.days:
        groups.setdefault((candles[pk].wax, candles[pk].colour), []).append(pk)
    rows = []
    for (wax, colour), keys in groups.items():
        first = min(keys, key=lambda pk: (last.days[pk].on or date.min, candles[pk].name))
        days = [last.days[pk].on for pk in keys]
        rows.append(
            {
                "colour": f"{colour.name}, {wax.name}", "candles": len(keys),
                "on": None if None in days else min(days), "latest": max(filter(None, days), default=None),
                "first": f"{candles[first].name}: {last.days[first].binds or 'it goes as it is'}",
            }
        )  # fmt: skip
    return rows


@dataclass(frozen=True)
class AheadRow:
    candle: Candle
    ahead: Ahead
    weeks: str

    @property
    def low(self) -> int:
        return self.ahead.expected.low

    @property
    def there(self) -> int:
        return self.ahead.expected.free + self.ahead.expected.coming

    @property
    def frames(self) -> int:
        return self.ahead.frames

    @property
    def pairs(self) -> int:
        return self.ahead.pairs

    @property
    def shelf(self) -> str:
        return self.ahead.expected.shelf

    @property
    def why(self) -> str:
        return self.ahead.why


def ahead_rows(outlook: Outlook, floor: SeasonFloor) -> list[AheadRow]:
    """A row a candle of which something is surely sold still. Four queries."""
    rows = ahead_list(outlook.season, outlook.candles, outlook.coming, floor)
    candles = Candle.objects.select_related("wax", "colour").in_bulk([row.expected.candle for row in rows])
    mondays = [week.monday for week in floor.asked.weeks]
    return [
        AheadRow(
            candles[row.expected.candle], row,
            ", ".join(f"{mondays[week].day} {mondays[week]:%b} ({frames})" for week, frames in row.weeks),
        )
        for row in rows
    ]  # fmt: skip


def room_rows() -> list[dict]:
    """Every shelf with what it holds and what lies there. Two queries."""
    lying = dict(Lot.objects.filter(on_hand__gt=0).order_by().values_list("shelf").annotate(pairs=Sum("on_hand")))
    rows = []
    for shelf in Shelf.objects.all():
        lies = lying.get(shelf.pk, 0)
        left = None if shelf.room_pairs is None else max(0, shelf.room_pairs - lies)
        rows.append({"pk": shelf.pk, "code": shelf.code, "room": shelf.room_pairs, "lies": lies, "left": left})
    return rows


def not_yet_rows(season: Season) -> list[dict]:
    """Shops that ordered last Christmas and have not for this one, still served. Four queries."""
    last, before = season.last, season.before[1]
    took = {shop: last.early_by_shop.get(shop, 0) + last.late_by_shop.get(shop, 0) for shop in _shops_of(last)}
    missing = [shop for shop in took if shop not in season.now.early_by_shop and shop not in season.now.late_by_shop]
    contacts = Prefetch("contacts", Contact.objects.exclude(telephone="").order_by("pk"), to_attr="callable")
    shops = Shop.objects.filter(active=True, pk__in=missing).prefetch_related(contacts)
    first = _first_days(season, [shop.pk for shop in shops])
    return [
        {
            "shop": shop, "contact": shop.callable[0].name if shop.callable else None,
            "telephone": shop.callable[0].telephone if shop.callable else None,
            "pairs": took[shop.pk], "early": last.early_by_shop.get(shop.pk, 0), "first": first.get(shop.pk),
            "before": before.early_by_shop.get(shop.pk, 0) + before.late_by_shop.get(shop.pk, 0),
        }
        for shop in shops
    ]  # fmt: skip


def _shops_of(book) -> set[int]:
    return {*book.early_by_shop, *book.late_by_shop}


def _first_days(season: Season, shops: list[int]) -> dict[int, date]:
    span = (season.last.dates.begins, season.last.dates.ends)
    orders = Order.objects.filter(shop__in=shops, grade=FIRSTS, status__in=(CONFIRMED, DONE), ship_by__range=span)
    before = BookedBefore.objects.filter(shop__in=shops, ship_by__range=span)
    found: dict[int, date] = {}
    for rows in (orders, before):
        for shop, day in rows.order_by().values_list("shop").annotate(first=Min("placed_on")):
            found[shop] = min(day, found.get(shop, day))
    return found
