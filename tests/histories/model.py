"""What the book must say after each step of a history, in plain Python: no Django, no query.

Keys are those of the rows. Pairs are whole, money is pence; percentages are Decimals, as 20 for 20 %.
"""

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

FIRSTS, SECONDS = "firsts", "seconds"
DRAFT, CONFIRMED, DONE, CANCELLED = "draft", "confirmed", "done", "cancelled"
PACKING, PACKED, LEFT, UNPACKED = "packing", "packed", "left", "unpacked"


@dataclass
class Lot:
    key: int
    candle: int
    grade: str
    made_on: date
    on_hand: int


@dataclass
class Line:
    """`pence` a pair before `discount` (percent). `box`: the box of seconds its pairs lie in."""

    key: int
    order: int
    candle: int
    pairs: int
    pence: Decimal
    discount: Decimal
    box: int | None = None
    sent: int = 0


@dataclass
class Order:
    key: int
    number: int
    shop: int
    grade: str
    ship_by: date
    complete_only: bool
    carriage: Decimal
    free_above: Decimal | None
    discount: Decimal = Decimal(0)
    status: str = DRAFT


@dataclass
class Delivery:
    """`lines`: pairs by (line, lot)."""

    key: int
    order: int
    by: int
    lines: dict[tuple[int, int], int]
    state: str = PACKING
    left_on: date | None = None
    came_back: dict[tuple[int, int], int] = field(default_factory=lambda: defaultdict(int))


@dataclass
class Invoice:
    """`lines`: [order line, pairs not credited] by the line's key. `live`: not taken back to be issued anew."""

    key: int
    shop: int
    issued_on: date
    deliveries: set[int]
    gross: int
    lines: dict[int, list[int]]
    credited: int = 0
    notes: int = 0
    by_amount: bool = False
    live: bool = True


@dataclass
class Payment:
    """`parts`: pence by what they went to, ("invoice", key) or ("refund", key). `dead`: taken back."""

    key: int
    shop: int
    kind: str
    pence: int
    on: date
    parts: dict[tuple[str, int], int] = field(default_factory=lambda: defaultdict(int))
    dead: bool = False

    @property
    def left(self) -> int:
        return self.pence - sum(self.parts.values())


@dataclass
class Box:
    """A box of seconds: pairs by lot."""

    key: int
    contents: dict[int, int]
    state: str = "on the shelf"
    order: int | None = None


@dataclass
class Frame:
    """`gave`: pairs by what was counted off: "" for firsts, the fault of seconds, "remelt"; `lots` by the same."""

    key: int
    candle: int
    hung: int
    state: str = "threaded"
    dips: int = 0
    done: bool = False
    carousel: int | None = None
    gave: dict[str, int] = field(default_factory=dict)
    lots: dict[str, int] = field(default_factory=dict)


@dataclass
class Sheet:
    """A stock count that is open. `counted`: what was counted of a lot less what the book said at that moment."""

    key: int
    lots: set[int]
    counted: dict[int, int] = field(default_factory=dict)


@dataclass
class Model:
    lots: dict[int, Lot] = field(default_factory=dict)
    orders: dict[int, Order] = field(default_factory=dict)
    lines: dict[int, Line] = field(default_factory=dict)
    # (line, lot): [pairs, of them packed]
    promises: dict[tuple[int, int], list[int]] = field(default_factory=dict)
    deliveries: dict[int, Delivery] = field(default_factory=dict)
    invoices: dict[int, Invoice] = field(default_factory=dict)
    payments: dict[int, Payment] = field(default_factory=dict)
    boxes: dict[int, Box] = field(default_factory=dict)
    frames: dict[int, Frame] = field(default_factory=dict)
    sheet: Sheet | None = None
    # The next number of each series.
    numbers: dict[str, int] = field(default_factory=dict)
    # By run, for each step that stands: the frames it touched, as they were before.
    before: dict[int, list[dict[int, Frame]]] = field(default_factory=lambda: defaultdict(list))

    # Sums

    def lines_of(self, order: int) -> list[Line]:
        return [line for line in self.lines.values() if line.order == order]

    def aside(self, line: int) -> int:
        return sum(pairs for (one, _), (pairs, _) in self.promises.items() if one == line)

    def packed(self, line: int) -> int:
        return sum(packed for (one, _), (_, packed) in self.promises.items() if one == line)

    def open(self, line: Line) -> int:
        return line.pairs - line.sent - self.aside(line.key)

    def boxed(self) -> dict[int, int]:
        """Pairs by lot that boxes of seconds hold and no line was promised: on the shelf, or in a draft."""
        held: dict[int, int] = defaultdict(int)
        for box in self.boxes.values():
            in_draft = box.order is not None and self.orders[box.order].status == DRAFT
            if box.state == "on the shelf" or (box.state == "sold" and in_draft):
                for lot, pairs in box.contents.items():
                    held[lot] += pairs
        return held

    def held(self) -> dict[int, int]:
        """Pairs by lot that nobody else can have."""
        held = self.boxed()
        for (_, lot), (pairs, _) in self.promises.items():
            held[lot] += pairs
        return held

    def free(self, lot: int) -> int:
        return self.lots[lot].on_hand - self.held()[lot]

    def free_of(self, candle: int, grade: str) -> int:
        held = self.held()
        its = [lot for lot in self.lots.values() if (lot.candle, lot.grade) == (candle, grade)]
        return sum(lot.on_hand - held[lot.key] for lot in its)

    def orders_in(self, *states: str) -> list[Order]:
        return [order for order in self.orders.values() if order.status in states]

    def waiting(self, order: int) -> list[Delivery]:
        return [one for one in self.deliveries.values() if one.order == order and one.state in (PACKING, PACKED)]

    def live_invoice(self, delivery: int) -> Invoice | None:
        return next((one for one in self.invoices.values() if one.live and delivery in one.deliveries), None)

    def paid(self, invoice: int) -> int:
        return sum(one.parts.get(("invoice", invoice), 0) for one in self.payments.values() if not one.dead)

    def due(self, invoice: Invoice) -> int:
        return invoice.gross - invoice.credited - self.paid(invoice.key)

    def on_account(self, shop: int) -> int:
        return sum(one.left for one in self.came_in(shop))

    def came_in(self, shop: int) -> list[Payment]:
        """Payments of the shop that count, the oldest first."""
        its = [one for one in self.payments.values() if one.shop == shop and one.kind == "in" and not one.dead]
        return sorted(its, key=lambda one: (one.on, one.key))

    def owed(self, shop: int) -> int:
        its = [invoice for invoice in self.invoices.values() if invoice.shop == shop]
        return sum(self.due(invoice) for invoice in its) - self.on_account(shop)

    # Changes

    def drop(self, line: int, lot: int, pairs: int) -> None:
        """Take pairs off a promise."""
        promise = self.promises[line, lot]
        promise[0] -= pairs
        assert promise[0] >= promise[1] >= 0, "more was taken back than lay unpacked"
        if not promise[0]:
            del self.promises[line, lot]

    def free_newest(self, line: Line, pairs: int) -> None:
        """Take unpacked pairs back, the newest lot first."""
        lots = [lot for one, lot in self.promises if one == line.key]
        for lot in sorted(lots, key=lambda lot: (self.lots[lot].made_on, lot), reverse=True):
            promised, packed = self.promises[line.key, lot]
            part = min(pairs, promised - packed)
            if part > 0:
                self.drop(line.key, lot, part)
                pairs -= part

    def finish(self, order: Order) -> None:
        """An order whose every pair has left is done."""
        lines = self.lines_of(order.key)
        gone = any(line.sent for line in lines) and all(line.pairs == line.sent for line in lines)
        if order.status == CONFIRMED and gone:
            order.status = DONE

    def put_box_back(self, box: Box) -> None:
        """On the shelf again; its lines of the order order nothing any more."""
        for line in self.lines_of(box.order):
            if line.box == box.key:
                line.pairs = 0
                for lot in [lot for one, lot in self.promises if one == line.key]:
                    del self.promises[line.key, lot]
        box.state, box.order = "on the shelf", None

    def has_left(self, box: Box) -> bool:
        return any(line.sent for line in self.lines_of(box.order) if line.box == box.key)

    def take_number(self, series: str, count: int = 1) -> None:
        self.numbers[series] += count

    def picture(self) -> dict[str, dict]:
        """Everything that can be compared with the book, as tests/histories/reading.py reads it."""
        held = self.held()
        return {
            "lots": {lot.key: (lot.candle, lot.grade, lot.on_hand, held[lot.key]) for lot in self.lots.values()},
            "orders": {
                one.key: (one.number, one.shop, one.grade, one.status, one.ship_by) for one in self.orders.values()
            },
            "lines": {
                line.key: (line.order, line.candle, line.pairs, line.sent, self.aside(line.key))
                for line in self.lines.values()
            },
            "promises": {key: tuple(pairs) for key, pairs in self.promises.items()},
            "wanted": self._wanted(),
            "deliveries": {one.key: (one.order, one.state, one.left_on) for one in self.deliveries.values()},
            "boxes": {box.key: (box.state, box.order) for box in self.boxes.values()},
            "frames": {one.key: (one.state, one.hung, one.dips, one.done) for one in self.frames.values()},
            "numbers": dict(self.numbers),
        }

    def _wanted(self) -> dict[int, int]:
        """Open pairs of firsts by line: what stands on the dip list."""
        its = {one.key for one in self.orders_in(CONFIRMED) if one.grade == FIRSTS}
        found = {line.key: self.open(line) for line in self.lines.values() if line.order in its}
        return {line: pairs for line, pairs in found.items() if pairs}

    def ledger(self) -> dict[str, dict]:
        """What is open of each invoice and left of each payment that counts, in pence."""
        return {
            "due": {one.key: self.due(one) for one in self.invoices.values()},
            "left": {one.key: one.left for one in self.payments.values() if one.kind == "in" and not one.dead},
        }
