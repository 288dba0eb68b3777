"""The busy weeks: open Christmas orders in every state, and the stock they are about to fight for."""

import random
import uuid
from collections import Counter
from datetime import date, timedelta

from config.demo.floor import Works
from config.demo.floor_year import plan_year, write_year
from config.demo.history import HEAVY_BASE_MM
from config.demo.lots import at, write_lots
from config.demo.season import order_lines
from config.demo.stock import Floor, workday_before
from inventory.models import Candle, Record
from orders.domain.ordering import TERMS, Row, save_draft, start_draft
from orders.domain.packing import close_boxes, start_packing, van_left
from orders.domain.pricing import put_prices
from orders.domain.setting_aside import set_aside_book, sync_wants
from orders.models import Order, OrderLine, Series, Shop
from orders.queries.credit import over_limit
from production.models import DipRun, Frame

# Days from today to the ship-by date of each open order, the nearest first.
SHIP_IN = (
    -1, 0, 0, 0, 1, 1, 2, 2, 2, 3, 3, 4, 4, 5, 5, 5, 6, 6, 7, 7, 8, 8, 9, 9, 10, 11, 12, 12, 13, 14, 15, 15, 16, 17,
    18, 19, 20, 21, 22, 22, 23, 24,
)  # fmt: skip
ON_STOP, COMPLETE, SECONDS_ORDER = 2, (5, 11, 18), 13  # places in SHIP_IN
SET_ASIDE_DAYS = 10  # beyond this nothing is set aside yet
# How much of the open demand a candle's stock covers: most is there, some is short, a few have none.
COVERAGE = (1.2, 1.2, 1.15, 1.15, 1.1, 1.1, 1.05, 0.7, 0.3, 0)


def open_season(
    rng: random.Random, *, today: date, candles: list[Candle], shops: list[Shop], works: Works, person, dippers
) -> None:
    """Open orders, their stock, what is set aside, packed, and gone today."""
    orders = _take_orders(rng, today, candles, shops, person)
    floor = _stock_up(rng, today, candles, orders, works)
    _write_frames(rng, floor, works, candles, dippers)
    near = [order.number for order in orders if (order.ship_by - today).days <= SET_ASIDE_DAYS]
    set_aside_book(by=person, order_numbers=near)
    _pack_some(orders, today, person)
    _leave_drafts(rng, today, candles, shops, person)


def _take_orders(rng: random.Random, today: date, candles, shops, person) -> list[Order]:
    complete = [shop for shop in shops if shop.complete_only and not shop.on_stop]
    others = [shop for shop in shops if not shop.complete_only and not shop.on_stop]
    orders = []
    for place, days in enumerate(SHIP_IN):
        shop = next(s for s in shops if s.on_stop) if place == ON_STOP else rng.choice(others)
        if place in COMPLETE:
            shop = rng.choice(complete)
        grade = "seconds" if place == SECONDS_ORDER else "firsts"
        placed = today - timedelta(days=rng.choice((1, 2, 3, 4, 6, 8, 9, 11, 13)))
        rows = _rows(rng, candles, few=place in COMPLETE or grade == "seconds")
        ship_by = workday(today + timedelta(days=days))
        orders.append(_take(shop, rows, person, placed=placed, ship_by=ship_by, grade=grade))
    return orders


def workday(day: date) -> date:
    """The day, or the Friday before a weekend."""
    return day - timedelta(days=max(0, day.weekday() - 4))


def _rows(rng: random.Random, candles, few: bool = False) -> list[tuple[Candle, int]]:
    heavy = {index for index, candle in enumerate(candles) if candle.base_mm >= HEAVY_BASE_MM}
    favourites = rng.sample(range(len(candles)), k=18)
    lines = order_lines(rng, favourites, heavy=heavy, candles=len(candles), longest=5 if few else 34)
    return [(candles[index], pairs) for index, pairs in lines]


def _take(shop: Shop, rows, person, *, placed: date, ship_by: date, grade: str) -> Order:
    """A confirmed order of some days ago: written straight, because its confirmation lies in the past."""
    series = Series.objects.get(name="order")
    order = Order.objects.create(
        number=series.next, shop=shop, grade=grade, status="confirmed", placed_on=placed, ship_by=ship_by,
        reference=f"XM-{series.next % 1000:03d}" if shop.reference_required or series.next % 3 == 0 else "",
        deliver_to=shop.addresses.filter(kind="delivery", usual=True).first(),
        **{name: getattr(shop, name) for name in TERMS}, made_by=person, confirmed_at=at(placed),
        submission=uuid.uuid5(uuid.NAMESPACE_OID, f"demo {series.next}"),
    )  # fmt: skip
    series.next += 1
    series.save()
    lines = [
        OrderLine(order=order, position=n, candle=candle, pairs=pairs) for n, (candle, pairs) in enumerate(rows, 1)
    ]
    OrderLine.objects.bulk_create(put_prices(order, lines, placed))
    what = f"Confirmed: {sum(pairs for _, pairs in rows):,} pairs by {ship_by.day} {ship_by:%B}."
    Record.objects.create(subject="order", subject_id=order.pk, what=what, person=person, at=at(placed))
    sync_wants(order)
    return order


def _stock_up(rng: random.Random, today: date, candles, orders, works: Works) -> Floor:
    """Frames of the last fortnight, so that most of what is wanted lies on the shelf and some of it does not."""
    wanted = Counter()
    for line in OrderLine.objects.filter(order__in=orders, order__grade="firsts"):
        wanted[line.candle_id] += line.pairs
    floor = Floor(rng, [works.load(candle) for candle in candles], [(c.wax_id, c.colour_id) for c in candles], today)
    for index, candle in enumerate(candles):
        short = round(wanted[candle.pk] * rng.choice(COVERAGE))
        made_on = workday_before(today, rng.choice((4, 5, 6, 8, 11)))
        while short > 0:
            short -= floor.dip(index, made_on).left
    return floor


def _write_frames(rng: random.Random, floor: Floor, works: Works, candles, dippers) -> None:
    """The frames with the lots they became."""
    taken = list(DipRun.objects.values_list("code", flat=True))
    year = plan_year(floor.hung, works, candles, first_frame=Frame.objects.count() + 1, taken=taken)
    lots, _ = write_lots(floor.batches, year, candles, {}, dippers[0])
    write_year(rng, year, works=works, candles=candles, lots=lots, people=dippers)


def _pack_some(orders: list[Order], today: date, person) -> None:
    """Of the orders due soon: one went this morning, two wait for the van, one is on the bench, one is left ready."""
    ready = [order for order in orders if order.grade == "firsts" and not order.shop.on_stop and _is_covered(order)]
    ready = [order for order in ready[:2] + ready[3:] if not over_limit(order.shop)]
    for place, order in enumerate(ready[:4]):
        delivery = start_packing(order=order, van_day=today, by=person)
        if place < 3:
            delivery = close_boxes(delivery=delivery, version=delivery.version, by=person)
        if place == 0:
            van_left(delivery=delivery, version=delivery.version, on=today, by=person)


def _is_covered(order: Order) -> bool:
    return all(line.pairs == line.set_aside for line in order.lines.all())


def _leave_drafts(rng: random.Random, today: date, candles, shops, person) -> None:
    """Two orders somebody began and was called away from; one holds a pasted row nobody could read."""
    for place, shop in enumerate(rng.sample([s for s in shops if not s.on_stop], k=2)):
        submission = uuid.uuid5(uuid.NAMESPACE_OID, f"demo draft {place}")
        draft = start_draft(shop=shop, submission=submission, by=person)
        rows = [Row(candle, pairs) for candle, pairs in _rows(rng, candles, few=True)]
        unread = [{"text": "2 doz of the greeny ones, tall", "why": "no candle of that name"}] if place else []
        header = {"ship_by": today + timedelta(days=16)}
        save_draft(order=draft, version=draft.version, header=header, rows=rows, unread=unread, by=person)
