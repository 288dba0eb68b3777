"""Writes the past year into the book: frames, lots and their movements, orders done, what left and on which papers."""

import random
import uuid
from collections import Counter
from dataclasses import dataclass
from datetime import date, timedelta

from config.demo.floor import Works
from config.demo.floor_year import plan_year, write_year
from config.demo.lots import BATCH, at, write_lots
from config.demo.prices import PricesThen
from config.demo.season import PlannedOrder, past_orders
from config.demo.stock import Batch, Floor
from inventory.models import Candle, Record
from orders.domain.ordering import TERMS
from orders.domain.pricing import put_price
from orders.models import Address, Delivery, DeliveryLine, Order, OrderLine, Series, Shop
from orders.models.delivery import UNPACKED

HEAVY_BASE_MM = 28  # from here on shops order by twos and fours


@dataclass
class Leaving:
    """One delivery to be: which order, when, and (line index, batch, pairs) in it."""

    order: int
    day: date
    lines: list[tuple[int, Batch, int]]
    note: str = ""  # the number its delivery note will carry: the stock's movements name it


def write_history(
    rng: random.Random, *, today: date, candles: list[Candle], shops: list[Shop], works: Works, person, dippers
) -> list[Delivery]:
    """Everything up to today's open orders; returns the deliveries that left, oldest first, still without papers."""
    heavy = {index for index, candle in enumerate(candles) if candle.base_mm >= HEAVY_BASE_MM}
    planned = past_orders(rng, today=today, shops=len(shops), heavy=heavy, candles=len(candles))
    shades = [(candle.wax_id, candle.colour_id) for candle in candles]
    floor = Floor(rng, [works.load(candle) for candle in candles], shades, today)
    leaving = _ship(rng, floor, planned) + _sell_seconds(rng, floor, planned, today, len(shops))
    leaving.sort(key=lambda leave: (leave.day, leave.order))
    floor.clear_old_seconds(today)
    series = Series.objects.get(name="delivery note")
    for running, leave in enumerate(leaving, start=series.next):
        leave.note = f"{series.prefix}{running}"
    notes = {(leave.order, line): leave.note for leave in leaving for line, _, _ in leave.lines}
    year = plan_year(floor.hung, works, candles)
    lots, movements = write_lots(floor.batches, year, candles, notes, person)
    write_year(rng, year, works=works, candles=candles, lots=lots, people=dippers)
    lines = _write_orders(planned, candles, shops, person)
    return _write_deliveries(leaving, lines, lots, movements, person)


def _ship(rng: random.Random, floor: Floor, planned: list[PlannedOrder]) -> list[Leaving]:
    leaving = []
    for index, order in enumerate(planned):
        day = van_day(order.placed_on + timedelta(days=rng.choice((3, 5, 6, 8))))
        parts = [range(len(order.lines))]
        if len(order.lines) > 6 and rng.random() < 0.1:
            parts = [range(0, len(order.lines), 2), range(1, len(order.lines), 2)]
        for part in parts:
            lines = []
            for line in part:
                candle, pairs = order.lines[line]
                lines += [(line, *took) for took in floor.take(candle, pairs, day, (index, line))]
            leaving.append(Leaving(index, day, lines))
            day = van_day(day + timedelta(days=1))
    return leaving


def _sell_seconds(rng, floor: Floor, planned: list[PlannedOrder], today: date, shops: int) -> list[Leaving]:
    """Every five weeks one shop takes the seconds that have lain for four; its orders join the planned ones."""
    leaving = []
    for back in range(330, 24, -35):
        placed = van_day(today - timedelta(days=back))
        ripe = [b for b in floor.seconds if b.left > 0 and (placed - max(m[0] for m in b.moves)).days > 5]
        if not ripe:
            continue
        index, day = len(planned), van_day(placed + timedelta(days=2))
        there: Counter[int] = Counter()
        for batch in ripe:
            there[batch.candle] += batch.left
        planned.append(PlannedOrder(rng.randrange(shops), placed, tuple(there.items()), grade="seconds"))
        taken, places = [], {candle: line for line, candle in enumerate(there)}
        for batch in ripe:
            pairs, line = batch.left, places[batch.candle]
            batch.move(day, "sent", -pairs, (index, line))
            taken.append((line, batch, pairs))
        leaving.append(Leaving(index, day, taken))
    return leaving


def van_day(day: date) -> date:
    """The next Tuesday or Thursday, that day included."""
    return day + timedelta(days=min((weekday - day.weekday()) % 7 for weekday in (1, 3)))


def _write_orders(planned: list[PlannedOrder], candles, shops, person) -> list[list[OrderLine]]:
    """Orders in the order they were placed, numbered so, all of them done; returns each plan's lines."""
    series = Series.objects.get(name="order")
    addresses = {a.shop_id: a for a in Address.objects.filter(kind="delivery", usual=True)}
    prices = PricesThen()
    by_day = sorted(range(len(planned)), key=lambda index: (planned[index].placed_on, index))
    orders, lines = [], [[] for _ in planned]
    for number, index in enumerate(by_day, start=series.next):
        plan, shop = planned[index], shops[planned[index].shop]
        order = Order(
            number=number, shop=shop, grade=plan.grade, status="done", placed_on=plan.placed_on,
            reference=f"PO {number % 977}" if shop.reference_required else "",
            ship_by=van_day(plan.placed_on + timedelta(days=9)), deliver_to=addresses[shop.pk],
            **{name: getattr(shop, name) for name in TERMS}, made_by=person,
            confirmed_at=at(plan.placed_on, 10, number % 60),
            submission=uuid.uuid5(uuid.NAMESPACE_OID, f"wickturn demo {number}"),
        )  # fmt: skip
        orders.append(order)
        rows = [(candles[candle], pairs) for candle, pairs in plan.lines]
        priced = prices.price(shop, plan.placed_on, plan.grade, rows)
        for place, ((candle, pairs), price) in enumerate(zip(rows, priced, strict=True), start=1):
            line = OrderLine(order=order, position=place, candle=candle, pairs=pairs, sent=pairs)
            put_price(line, price)
            lines[index].append(line)
    Order.objects.bulk_create(orders, batch_size=BATCH)
    OrderLine.objects.bulk_create([line for rows in lines for line in rows], batch_size=BATCH)
    Record.objects.bulk_create([_confirmation(order, person) for order in orders], batch_size=BATCH)
    series.next += len(orders)
    series.save()
    return lines


def _confirmation(order: Order, person) -> Record:
    what = f"Confirmed, to be sent by {order.ship_by.day} {order.ship_by:%B}."
    return Record(subject="order", subject_id=order.pk, what=what, person=person, at=order.confirmed_at)


def _write_deliveries(leaving: list[Leaving], lines, lots, movements, person) -> list[Delivery]:
    """Deliveries with lines and boxes. They stand as unpacked until their papers are there (config.demo.papers)."""
    deliveries = [
        Delivery(
            order=lines[leave.order][0].order, state=UNPACKED, van_day=leave.day, left_on=leave.day, version=3,
            started_at=at(leave.day, 8), started_by=person, closed_at=at(leave.day, 9),
        )
        for leave in leaving
    ]  # fmt: skip
    Delivery.objects.bulk_create(deliveries, batch_size=BATCH)
    taken = [
        DeliveryLine(
            delivery=delivery, line=lines[leave.order][line], lot=lots[id(batch)], pairs=pairs,
            movement=movements[id(batch), (leave.order, line)],
        )
        for leave, delivery in zip(leaving, deliveries, strict=True)
        for line, batch, pairs in leave.lines
    ]  # fmt: skip
    DeliveryLine.objects.bulk_create(taken, batch_size=BATCH)
    return deliveries
