"""The season on the floor: how full its weeks are, what can be made ahead, and until when orders can come in."""

import hashlib
from collections import Counter
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Q, Sum
from django.utils import timezone

from inventory.models import Candle, Lot, Shelf
from orders.queries.season import Season, season_now, shipped_by_week
from orders.season.by_candle import CandleOutlook, in_whole_pairs
from orders.season.make_ahead import Ahead, Expected, make_ahead, ready_by
from production.domain.dip_plan.load import load_problem
from production.floor_levelling import levelled, relief
from production.floor_load import FloorWeeks, Load, firsts_of, floor_weeks
from production.models import Want
from production.queries.dip_list import free_firsts
from production.queries.hours import working_hours
from production.queries.last_orders import LastOrders, last_orders
from production.queries.on_floor import on_floor_by_candle
from production.queries.spare import spare_by_candle

FEWEST_DAYS, MOST_DAYS = 5, 280  # working days looked ahead


@dataclass(frozen=True)
class Coming:
    """A candle's firsts that the rest of the season finds there. `free` of all promises; `own`: wanted for the shelf;
    `spare`: hang for the shelf."""

    free: int
    own: int
    spare: int


@dataclass(frozen=True)
class SeasonFloor:
    """The weeks as they are asked for, and levelled: what is too much in one done in the weeks before. `over`: frames
    that no week has room for."""

    asked: FloorWeeks
    level: FloorWeeks
    over: float

    @property
    def loads(self) -> list[tuple[Load, Load]]:
        """Week by week, as asked and levelled."""
        return [(self.asked.load(place), self.level.load(place)) for place in range(len(self.asked.weeks))]


def coming_of(candles: set[int]) -> dict[int, Coming]:
    """By candle. Four queries."""
    wants = Want.objects.filter(candle__in=candles).order_by().values_list("candle")
    wanted = {
        candle: (pairs, own or 0)
        for candle, pairs, own in wants.annotate(wanted=Sum("pairs"), own=Sum("pairs", filter=Q(group="")))
    }
    free, hangs, spare = free_firsts(candles), on_floor_by_candle(candles), spare_by_candle(candles)
    found = {}
    for candle in candles:
        pairs, own = wanted.get(candle, (0, 0))
        left = free[candle] - max(0, pairs - hangs.get(candle, 0))
        found[candle] = Coming(max(0, left), own, sum(each for _, each in spare[candle]))
    return found


def expected_rows(
    season: Season, outlooks: list[CandleOutlook], coming: Mapping[int, Coming]
) -> list[tuple[int, int, date]]:
    """(candle, pairs, day) still expected and not yet there or wanted for the shelf, over the weeks that the same
    orders were sent in last season; all of it for the last van where nobody knows. Two queries."""
    spread = {day: pairs for day, pairs in shipped_by_week(season).items() if day <= season.dates.last_van}
    spread = spread or {season.dates.last_van: 1}
    whole, found = sum(spread.values()), []
    for row in outlooks:
        there = coming[row.candle]
        lacks = max(0, row.rest - there.free - there.own)
        shares = in_whole_pairs({day: lacks * pairs / whole for day, pairs in spread.items()}, lacks)
        found += [(row.candle, pairs, day) for day, pairs in shares.items() if pairs]
    return found


def days_to(van: date, today: date, worked: Collection[str] = ()) -> int:
    """Working days from today up to the van's day; `worked`: days (2026-12-05) that are worked besides."""
    hours = working_hours()
    days = [today + timedelta(days=ahead) for ahead in range(max(0, (van - today).days) + 1)]
    count = sum(hours.on(day) is not None or day.isoformat() in worked for day in days) if hours else 0
    return min(MOST_DAYS, max(FEWEST_DAYS, count))


def season_floor(van: date, expected: list[tuple[int, int, date]], what_if: Mapping | None = None) -> SeasonFloor:
    """The floor's weeks up to the van, with what hangs, the dip list and what is `expected` (candle, pairs, due)."""
    days = days_to(van, timezone.localdate(), (what_if or {}).get("days_worked", ()))
    problem = load_problem(days=days, keeps_first_day=False, what_if=what_if).problem
    places = {item.key: place for place, item in enumerate(problem.items)}
    rows = [(places[candle], pairs, due) for candle, pairs, due in expected if candle in places]
    asked = floor_weeks(problem, rows)
    strange = {candle for candle, _, _ in expected} - set(places)
    if strange:
        names = ", ".join(Candle.objects.filter(pk__in=strange).values_list("name", flat=True))
        asked.said.append(f"Left out, because they have no recipe or fit no frame: {names}.")
    level, over = levelled(asked)
    return SeasonFloor(asked, level, over)


def saturdays(van: date, today: date) -> list[str]:
    """Every Saturday from today to the van that nobody works now, as a trial has them."""
    hours = working_hours()
    days = (today + timedelta(days=ahead) for ahead in range(max(0, (van - today).days)))
    return [day.isoformat() for day in days if day.weekday() == 5 and not (hours and hours.on(day))]


def ahead_list(
    season: Season, outlooks: list[CandleOutlook], coming: Mapping[int, Coming], floor: SeasonFloor
) -> list[Ahead]:
    """What to hang in idle weeks. `floor` with what is expected. Three queries."""
    candles = Candle.objects.filter(active=True).select_related("shelf").in_bulk([row.candle for row in outlooks])
    problem = floor.asked.problem
    places = {item.key: place for place, item in enumerate(problem.items)}
    moved = relief(floor.asked, floor.level)
    rows = [
        Expected(
            row.candle, places[row.candle], row.rest, row.low, coming[row.candle].free,
            coming[row.candle].own + coming[row.candle].spare,
            candles[row.candle].shelf.code if candles[row.candle].shelf else "", moved.get(places[row.candle], 0.0),
        )
        for row in outlooks
        if row.candle in candles and row.candle in places
    ]  # fmt: skip
    bare = floor_weeks(problem)
    # Hung in the van's own week it is not hard in time.
    return make_ahead(bare, rows, shelf_room(), max(0, len(bare.weeks) - 2))


def shelf_room() -> dict[str, int]:
    """Pairs each shelf still takes, by code; shelves whose room nobody wrote down are left out. Two queries."""
    lying = dict(Lot.objects.filter(on_hand__gt=0).order_by().values_list("shelf").annotate(pairs=Sum("on_hand")))
    rows = Shelf.objects.exclude(room_pairs=None).values_list("pk", "code", "room_pairs")
    return {code: max(0, room - lying.get(pk, 0)) for pk, code, room in rows}


@dataclass(frozen=True)
class WantedAhead:
    """Frames of a candle to hang in one week, as the dip list will have them."""

    candle: Candle
    frames: int
    pairs: int
    wanted_by: date


@dataclass
class Outlook:
    """The season with everything the floor's pages ask of it, read once."""

    season: Season
    candles: list[CandleOutlook]
    coming: dict[int, Coming]
    expected: list[tuple[int, int, date]]

    def floor(self, what_if: Mapping | None = None) -> SeasonFloor:
        return season_floor(self.season.dates.last_van, self.expected, what_if)


def outlook_now() -> Outlook:
    """Some sixteen queries."""
    season = season_now()
    rows = season.by_candle(set(Candle.objects.filter(active=True).values_list("pk", flat=True)))
    coming = coming_of({row.candle for row in rows})
    return Outlook(season, rows, coming, expected_rows(season, rows, coming))


def wanted_ahead(outlook: Outlook | None = None, floor: SeasonFloor | None = None) -> list[WantedAhead]:
    """The make-ahead list as wants, a row a candle and week."""
    outlook = outlook or outlook_now()
    floor = floor or outlook.floor()
    rows = ahead_list(outlook.season, outlook.candles, outlook.coming, floor)
    candles = Candle.objects.in_bulk([row.expected.candle for row in rows])
    found = []
    for row in rows:
        for week, frames in row.weeks:
            by = min(ready_by(floor.asked.weeks[week].monday), outlook.season.dates.last_van)
            pairs = round(frames * firsts_of(floor.asked.problem.items[row.expected.item]))
            found.append(WantedAhead(candles[row.expected.candle], frames, pairs, by))
    return found


def list_seen(rows: list[WantedAhead]) -> str:
    """A mark of the list: another list has another."""
    values = [(row.candle.pk, row.frames, row.pairs, row.wanted_by.isoformat()) for row in rows]
    return hashlib.sha256(repr(values).encode()).hexdigest()[:16]


def last_order_days(season: Season, expected: list[tuple[int, int, date]]) -> tuple[LastOrders, dict[int, Candle]]:
    """For each candle of the catalogue: the last day an order for a box of it can come in; and the candles.

    `expected` as expected_rows has it.
    """
    candles = Candle.objects.filter(active=True).select_related("wax", "colour").in_bulk()
    more: Counter[int] = Counter()
    for candle, pairs, _ in expected:
        more[candle] += pairs
    boxes = {pk: row.pairs_per_box for pk, row in candles.items()}
    return last_orders(season.dates.last_van, boxes, more), candles
