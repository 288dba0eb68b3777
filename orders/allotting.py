"""Who gets which pairs. No Django here: facts in, allotment and reasons out.

The rule (the workshop's own, common practice, no source): the earliest ship-by date first, then the shop's rank
(1 before 9), then the older order. The oldest lot goes first, but a line is filled from one dip run, which is one
shade, where a run holds enough for it. That costs nobody pairs: lots of one candle and grade fill a line alike, so
which of them a line takes never changes how many are left for the next. A shop that takes complete deliveries only
gets all or nothing, and what it cannot use goes on to the next. Firsts and seconds never stand in for each other; of
seconds the oldest always goes first, whatever its shade.

Pairs are whole numbers. Everything is sorted by facts, never by chance: the same facts give the same allotment.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

SECONDS = "seconds"
NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")


@dataclass(frozen=True)
class LotFacts:
    """A lot: `free` pairs can be promised, `held` are promised already. No dip run: a shade of its own."""

    id: int
    code: str
    candle: int
    grade: str
    made_on: date
    dip_run: str = ""
    free: int = 0
    held: int = 0

    @property
    def shade(self) -> tuple:
        return ("run", self.dip_run) if self.dip_run else ("lot", self.id)

    @property
    def age_key(self) -> tuple:
        return (self.made_on, self.id)


@dataclass(frozen=True)
class LineDemand:
    """Open pairs of one line; `holds` are the lots already set aside for it."""

    id: int
    candle: int
    open: int
    holds: tuple[LotFacts, ...] = ()


@dataclass(frozen=True)
class OrderDemand:
    """An order with open pairs. `rank` 1 is served before 9; `placed_on`, then `number`, give its age."""

    number: int
    ship_by: date
    rank: int
    placed_on: date
    complete_only: bool
    grade: str
    lines: tuple[LineDemand, ...]

    @property
    def turn(self) -> tuple:
        return (self.ship_by, self.rank, self.placed_on, self.number)


@dataclass(frozen=True)
class LineAllotment:
    """What a line gets: (lot id, pairs) in the order taken, pairs still missing, and why, in words."""

    line: int
    order: int
    takes: tuple[tuple[int, int], ...]
    short: int
    why: str

    @property
    def pairs(self) -> int:
        return sum(pairs for _, pairs in self.takes)


@dataclass(frozen=True)
class Allotment:
    lines: tuple[LineAllotment, ...]

    @property
    def pairs(self) -> int:
        return sum(line.pairs for line in self.lines)

    @property
    def short(self) -> int:
        return sum(line.short for line in self.lines)

    @property
    def complete(self) -> frozenset[int]:
        """Numbers of the orders that have nothing open any more."""
        return frozenset(line.order for line in self.lines) - {line.order for line in self.lines if line.short}

    def of_order(self, number: int) -> tuple[LineAllotment, ...]:
        return tuple(line for line in self.lines if line.order == number)


class _Stock:
    """Free pairs by candle and grade while they are handed out, and who was served of each before."""

    def __init__(self, lots: Iterable[LotFacts]):
        self.lots: dict[tuple, list[LotFacts]] = defaultdict(list)
        for lot in sorted(lots, key=lambda lot: lot.age_key):
            self.lots[lot.candle, lot.grade].append(lot)
        self.free = {lot.id: lot.free for kind in self.lots.values() for lot in kind}
        self.served: dict[tuple, list[OrderDemand]] = defaultdict(list)

    def left(self, candle: int, grade: str) -> int:
        return sum(self.free[lot.id] for lot in self.lots[candle, grade])

    def held(self, candle: int, grade: str) -> int:
        return sum(lot.held for lot in self.lots[candle, grade])

    def missing(self, order: OrderDemand) -> int:
        """Pairs the order would lack if it took all it can: lines of one candle share what is left of it."""
        needs: dict[int, int] = defaultdict(int)
        for line in order.lines:
            needs[line.candle] += line.open
        return sum(max(0, need - self.left(candle, order.grade)) for candle, need in needs.items())

    def take(self, order: OrderDemand, line: LineDemand) -> list[tuple[LotFacts, int]]:
        """Hand the line what it can have of its open pairs."""
        takes, need = [], line.open
        for lot in self._in_turn(order, line):
            pairs = min(need, self.free[lot.id])
            if pairs:
                self.free[lot.id] -= pairs
                takes.append((lot, pairs))
                need -= pairs
        if takes:
            self.served[line.candle, order.grade].append(order)
        return takes

    def _in_turn(self, order: OrderDemand, line: LineDemand) -> list[LotFacts]:
        """The lots to take from: one shade where one holds enough (the line's own first), else the oldest.

        Of seconds always the oldest: they are sold with their faults, shade among them, and are cheaper by age.
        """
        lots = self.lots[line.candle, order.grade]
        if order.grade == SECONDS:
            return lots
        shades: dict[tuple, list[LotFacts]] = defaultdict(list)
        for lot in lots:
            shades[lot.shade].append(lot)
        enough = [shade for shade, its in shades.items() if sum(self.free[lot.id] for lot in its) >= line.open]
        has = {lot.shade for lot in line.holds}
        if len(has) == 1 and (same := has & set(enough)):
            return shades[same.pop()]
        # `shades` keeps the lots' order, so the first that holds enough is the one with the oldest lot.
        return shades[enough[0]] if enough and not has else lots


def allot(orders: Iterable[OrderDemand], lots: Iterable[LotFacts], first: frozenset[int] = frozenset()) -> Allotment:
    """Hand out free pairs by the rule. Orders numbered in `first` come before all others (in the rule's own turn)."""
    stock = _Stock(lots)
    lines: list[LineAllotment] = []
    for order in sorted(orders, key=lambda order: (order.number not in first, order.turn)):
        missing = stock.missing(order) if order.complete_only else 0
        for line in order.lines:
            takes = [] if missing else stock.take(order, line)
            short = line.open - sum(pairs for _, pairs in takes)
            why = _waits(missing) if missing else _reason(stock, order, line, takes, short)
            lines.append(
                LineAllotment(line.id, order.number, tuple((lot.id, pairs) for lot, pairs in takes), short, why)
            )
    return Allotment(tuple(lines))


def _waits(missing: int) -> str:
    return f"waits: takes complete deliveries only and {missing} {'is' if missing == 1 else 'are'} missing"


def _reason(stock: _Stock, order: OrderDemand, line: LineDemand, takes: list, short: int) -> str:
    lots = {lot.id: lot for lot in (*line.holds, *(lot for lot, _ in takes))}
    parts = [_short_words(stock, order, line, short)] if short else []
    if lots:
        parts.append(lots_in_words(list(lots.values())))
    return "; ".join(parts)


def lots_in_words(lots: list[LotFacts]) -> str:
    """ "one lot, R2417", "two lots of one dip run", "two lots, oldest first"."""
    if len(lots) == 1:
        return f"one lot, {lots[0].code}"
    count = NUMBERS[len(lots)] if len(lots) < len(NUMBERS) else str(len(lots))
    one_shade = len({lot.shade for lot in lots}) == 1
    return f"{count} lots {'of one dip run' if one_shade else 'oldest first'}".replace("lots old", "lots, old")


def _short_words(stock: _Stock, order: OrderDemand, line: LineDemand, short: int) -> str:
    others = {other.number: other for other in stock.served[line.candle, order.grade] if other.number != order.number}
    if not others:
        rest = (
            "what else is in stock is set aside for others" if stock.held(line.candle, order.grade) else "no more free"
        )
        return f"{short} short: {rest}"
    who = f"after {len(others)} other{'s' if len(others) > 1 else ''}"
    return f"{short} short: ordered {who} {_why_before(order, list(others.values()))}"


def _why_before(order: OrderDemand, others: list[OrderDemand]) -> str:
    many = len(others) > 1
    if all(other.ship_by < order.ship_by for other in others):
        return "with earlier dates" if many else "with an earlier date"
    if all(other.turn[:2] < order.turn[:2] for other in others):
        return "with an earlier date or a better rank"
    if all(other.turn < order.turn for other in others):
        return "with an earlier date, a better rank or an older order"
    return "that can be completed"
