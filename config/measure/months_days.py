"""Real months through the domain's own doors, day by day, with the book's clock set to each day."""

import uuid
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from time import perf_counter, process_time
from unittest.mock import patch

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from config.measure.months_cancel import WAITS, take_off
from config.measure.months_data import Asked, Months, TakenOff
from config.measure.months_house import House, days_of, lots_by_day
from inventory.domain.lots import open_lot
from orders.domain.invoicing import issue_invoice
from orders.domain.ordering import Row, confirm_order, save_draft, start_draft
from orders.domain.packing import close_boxes, start_packing, van_day_left
from orders.domain.payments import post_payment
from orders.domain.setting_aside import set_aside_book, set_aside_order
from orders.models import Invoice, Order
from orders.queries.debts import open_papers
from orders.queries.invoices import to_invoice
from orders.queries.packing import ready_orders

SPACE = uuid.UUID("5b0b7a8e-1f3d-4f43-8f0e-6a3c2f1f7d10")
DAYS_TO_SHIP = 2
LATE, NEVER = (9, 30), 49  # of fifty shops: every tenth pays so many days late, one does not pay
MONDAY = 0


@dataclass
class Told:
    """What the days took, in processor seconds by (month, stage), how often each stage worked, and what was done."""

    seconds: Counter = field(default_factory=Counter)
    times: Counter = field(default_factory=Counter)
    done: Counter = field(default_factory=Counter)
    orders: Counter = field(default_factory=Counter)
    lines: Counter = field(default_factory=Counter)
    largest: tuple[int, int, float] = (0, 0, 0.0)  # lines, pairs, processor seconds to take it and set it aside
    refused: list[str] = field(default_factory=list)
    wall: float = 0.0


class Days:
    """The nine months in a made house. `run` gives each day as it is done."""

    def __init__(self, months: Months, house: House):
        self.months, self.house, self.told = months, house, Told()
        self.lots = lots_by_day(months)
        self.places = {shop.pk: place for place, shop in enumerate(house.shops.values(), start=1)}
        self.orders: dict[date, list[Asked]] = defaultdict(list)
        self.taken_off: dict[date, list[TakenOff]] = defaultdict(list)
        for order in months.orders:
            self.orders[order.day].append(order)
        for off in months.taken_off:
            self.taken_off[off.day].append(off)
        self.keys: dict[str, int] = {}  # of the book's order, by the number the data has
        self.waiting: list[TakenOff] = []  # packed and not invoiced yet when they were called off
        self.due: dict[date, list[Invoice]] = defaultdict(list)
        self.month = ""

    def run(self) -> Iterator[date]:
        began = perf_counter()
        for day in days_of(self.months):
            self.month = f"{day:%Y-%m}" if day in self.orders else self.month
            with _clock(day):
                self._morning(day)
                for asked in self.orders[day]:
                    self._take(asked)
                self._call_off(day)
                self._send(day)
            self.told.wall = perf_counter() - began
            yield day

    def _morning(self, day: date) -> None:
        with self._stage("invoices"):
            self._invoice(day)
        with self._stage("payments"):
            self._pay(day)
        with self._stage("lots in"), transaction.atomic():
            for item, pairs in self.lots.get(day, ()):
                self._lot(day, item, pairs)
        if day.weekday() == MONDAY or day > self.months.orders[-1].day:
            with self._stage("set aside, whole book"):
                self._did("set aside, whole book", "pairs set aside at once", set_aside_book(by=self.house.by).pairs)

    def _lot(self, day: date, item: str, pairs: int) -> None:
        open_lot(
            candle=self.house.candles[item], grade="firsts", made_on=day, pairs=pairs, kind="counted in",
            reason="By rule.", dip_run=f"R{day:%y%m%d}", by=self.house.by,
        )  # fmt: skip
        self._did("lots in", "lots")

    def _take(self, asked: Asked) -> None:
        began, house = process_time(), self.house
        header = {
            "reference": asked.number,
            "ship_by": asked.day + timedelta(days=DAYS_TO_SHIP),
            "deliver_to": house.addresses[asked.shop],
        }
        rows = [Row(house.candles[row.item], row.pairs) for row in asked.rows]
        with self._stage("drafts"):
            submission = uuid.uuid5(SPACE, asked.number)
            order = start_draft(shop=house.shops[asked.shop], submission=submission, by=house.by)
            order = save_draft(order=order, version=order.version, header=header, rows=rows, by=house.by)
        with self._stage("confirm"):
            order = confirm_order(order=order, version=order.version, by=house.by)
        with self._stage("set aside"):
            set_aside_order(order=order, by=house.by)
        for stage in ("drafts", "confirm", "set aside"):
            self._did(stage)
        self.keys[asked.number] = order.pk
        self.told.orders[self.month] += 1
        self.told.lines[self.month] += len(rows)
        self.told.done["pairs"] += asked.pairs
        self.told.largest = max(self.told.largest, (len(rows), asked.pairs, process_time() - began))

    def _call_off(self, day: date) -> None:
        wanted, self.waiting = [*self.waiting, *self.taken_off[day]], []
        with self._stage("cancellations"):
            for off in wanted:
                for number, parts in off.parts.items():
                    self._take_off(off, number, parts, day)

    def _take_off(self, off: TakenOff, number: str, parts: dict[int, int], day: date) -> None:
        try:
            how = take_off(self.keys[number], parts, number=off.number, day=day, by=self.house.by)
        except ValidationError as refused:
            self.told.refused.append(f"cancellation {off.number}: {' '.join(refused.messages)}")
            return
        if how == WAITS:
            self.waiting.append(TakenOff(off.number, off.shop, off.day, {number: parts}))
        else:
            self._did("cancellations", how)

    def _send(self, day: date) -> None:
        """What was taken on an earlier day is packed and leaves."""
        with self._stage("pack"):
            ready = [one.order for one in ready_orders(day) if not one.why and one.order.placed_on < day]
        for order in ready:
            self._pack(order, day)
        with self._stage("van leaves"):
            gone, refused = van_day_left(van_day=day, on=day, by=self.house.by)
        for _ in gone:
            self._did("van leaves", "deliveries")
        self.told.refused += refused

    def _pack(self, order: Order, day: date) -> None:
        try:
            with self._stage("pack"):
                delivery = start_packing(order=order, van_day=day, by=self.house.by)
                self._did("pack")
            with self._stage("close boxes"):
                close_boxes(delivery=delivery, version=delivery.version, by=self.house.by)
                self._did("close boxes")
        except ValidationError as refused:
            self.told.refused.append(f"order {order.number}: {' '.join(refused.messages)}")

    def _invoice(self, day: date) -> None:
        """One invoice a shop over all that left for it and stands on none."""
        by_shop = defaultdict(list)
        for delivery in to_invoice():
            by_shop[delivery.order.shop].append(delivery.pk)
        for shop, deliveries in by_shop.items():
            invoice = issue_invoice(shop=shop, delivery_ids=deliveries, issued_on=day, by=self.house.by)
            self._did("invoices", "invoices")
            if self.places[shop.pk] % (NEVER + 1) != NEVER:
                late = LATE[1] if self.places[shop.pk] % 10 == LATE[0] else 0
                self.due[invoice.due_on + timedelta(days=late)].append(invoice)

    def _pay(self, day: date) -> None:
        """Each shop pays in one sum what is open of its invoices that it meant to pay by now."""
        by_shop = defaultdict(set)
        for on in [on for on in self.due if on <= day]:
            for invoice in self.due.pop(on):
                by_shop[invoice.shop].add(f"i{invoice.pk}")
        papers = open_papers([shop.pk for shop in by_shop]) if by_shop else []
        for shop, keys in by_shop.items():
            parts = {paper.key: paper.open for paper in papers if paper.key in keys}
            if parts:
                amount = sum(parts.values(), Decimal(0))
                post_payment(shop=shop, amount=amount, on=day, how="bank", parts=parts, by=self.house.by)
                self._did("payments", "payments")

    def _did(self, stage: str, what: str = "", many: int = 1) -> None:
        """A stage did its work once; `what` it made, and how `many`, where the whole measure tells that."""
        self.told.times[self.month, stage] += 1
        if what:
            self.told.done[what] += many

    @contextmanager
    def _stage(self, name: str) -> Iterator[None]:
        began = process_time()
        yield
        self.told.seconds[self.month, name] += process_time() - began


@contextmanager
def _clock(day: date) -> Iterator[None]:
    """The book's clock stands at ten in the morning of that day."""
    then = timezone.make_aware(datetime.combine(day, time(10)))
    with patch.object(timezone, "now", lambda: then):
        yield


def by_stage(seconds: Counter) -> dict[str, float]:
    """Seconds by stage, of all months."""
    return {stage: sum(took for (_, its), took in seconds.items() if its == stage) for stage in _names(seconds)}


def each_by_month(told: Told, stage: str) -> dict[str, float]:
    """What a stage's work took each time, in ms, by the months in which it did any, the first first."""
    months = sorted(month for (month, its), times in told.times.items() if its == stage and times)
    return {month: 1000 * told.seconds[month, stage] / told.times[month, stage] for month in months}


def by_month(seconds: Counter) -> dict[str, float]:
    """Seconds by month, of all stages."""
    found: Counter = Counter()
    for (month, _), took in sorted(seconds.items()):
        found[month] += took
    return dict(found)


def _names(seconds: Iterable[tuple[str, str]]) -> list[str]:
    return list(dict.fromkeys(stage for _, stage in seconds))
