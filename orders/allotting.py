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


class _Kind:
    """Free pairs of one candle and grade while they are handed out, and who was served of them before.

    `free`: by lot. `shades`: those that hold free pairs, by their oldest lot; a shade's pairs are added up once and
    then kept. Of the orders served only how many and the latest turn count; the last one stands apart, because lines
    of one order do not stand before each other.
    """

    def __init__(self) -> None:
        self.lots: list[LotFacts] = []
        self.free: dict[int, int] = {}
        self.shades: dict[tuple, list[LotFacts]] = {}
        self.in_shade: dict[tuple, int] = {}
        self.left = self.held = self.earlier = 0
        self.latest: tuple = ()
        self.last: OrderDemand | None = None

    def add(self, lot: LotFacts) -> None:
        self.lots.append(lot)
        self.free[lot.id] = lot.free
        self.shades.setdefault(lot.shade, []).append(lot)
        self.in_shade[lot.shade] = self.in_shade.get(lot.shade, 0) + lot.free
        self.left += lot.free
        self.held += lot.held

    def take(self, order: OrderDemand, line: LineDemand) -> list[tuple[LotFacts, int]]:
        """Hand the line what it can have of its open pairs."""
        takes, need = [], line.open
        for lot in self._in_turn(order, line):
            if not need:
                break
            if pairs := min(need, self.free[lot.id]):
                self._hand_out(lot, pairs)
                takes.append((lot, pairs))
                need -= pairs
        if takes and (self.last is None or self.last.number != order.number):
            self.earlier, self.latest = self.before(order)
            self.last = order
        return takes

    def _hand_out(self, lot: LotFacts, pairs: int) -> None:
        self.free[lot.id] -= pairs
        self.left -= pairs
        self.in_shade[lot.shade] -= pairs
        if not self.in_shade[lot.shade]:
            del self.shades[lot.shade]

    def before(self, order: OrderDemand) -> tuple[int, tuple]:
        """How many other orders were served, and the latest turn among them."""
        if self.last is None or self.last.number == order.number:
            return self.earlier, self.latest
        return self.earlier + 1, max(self.latest, self.last.turn)

    def _in_turn(self, order: OrderDemand, line: LineDemand) -> list[LotFacts]:
        """The lots to take from: one shade where one holds enough (the line's own first), else the oldest.

        Of seconds always the oldest: they are sold with their faults, shade among them, and are cheaper by age.
        """
        if order.grade == SECONDS:
            return self.lots
        has = {lot.shade for lot in line.holds}
        if has:
            own = has.pop()
            one = not has and own in self.shades and self.in_shade[own] >= line.open
            return self.shades[own] if one else self.lots
        # `shades` keeps the lots' order, so the first that holds enough is the one with the oldest lot.
        return next((lots for shade, lots in self.shades.items() if self.in_shade[shade] >= line.open), self.lots)


class _Stock(defaultdict[tuple, _Kind]):
    """What lies free, by candle and grade."""

    def __init__(self, lots: Iterable[LotFacts]):
        super().__init__(_Kind)
        for lot in sorted(lots, key=lambda lot: lot.age_key):
            self[lot.candle, lot.grade].add(lot)

    def missing(self, order: OrderDemand) -> int:
        """Pairs the order would lack if it took all it can: lines of one candle share what is left of it."""
        needs: dict[int, int] = defaultdict(int)
        for line in order.lines:
            needs[line.candle] += line.open
        return sum(max(0, need - self[candle, order.grade].left) for candle, need in needs.items())


def allot(orders: Iterable[OrderDemand], lots: Iterable[LotFacts], first: frozenset[int] = frozenset()) -> Allotment:
    """Hand out free pairs by the rule. Orders numbered in `first` come before all others (in the rule's own turn)."""
    stock = _Stock(lots)
    lines: list[LineAllotment] = []
    for order in sorted(orders, key=lambda order: (order.number not in first, order.turn)):
        missing = stock.missing(order) if order.complete_only else 0
        for line in order.lines:
            kind = stock[line.candle, order.grade]
            takes = [] if missing else kind.take(order, line)
            short = line.open - sum(pairs for _, pairs in takes)
            why = _waits(missing) if missing else _reason(kind, order, line, takes, short)
            lines.append(
                LineAllotment(line.id, order.number, tuple((lot.id, pairs) for lot, pairs in takes), short, why)
            )
    return Allotment(tuple(lines))


def _waits(missing: int) -> str:
    return f"waits: takes complete deliveries only and {missing} {'is' if missing == 1 else 'are'} missing"


def _reason(kind: _Kind, order: OrderDemand, line: LineDemand, takes: list, short: int) -> str:
    lots = {lot.id: lot for lot in (*line.holds, *(lot for lot, _ in takes))}
    parts = [_short_words(kind, order, short)] if short else []
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


def _short_words(kind: _Kind, order: OrderDemand, short: int) -> str:
    others, latest = kind.before(order)
    if not others:
        rest = "what else is in stock is set aside for others" if kind.held else "no more free"
        return f"{short} short: {rest}"
    who = f"after {others} other{'s' if others > 1 else ''}"
    return f"{short} short: ordered {who} {_why_before(order, latest, many=others > 1)}"


def _why_before(order: OrderDemand, latest: tuple, *, many: bool) -> str:
    """`latest`: of the turns of those served before; what is before it comes before all of theirs."""
    if latest[0] < order.ship_by:
        return "with earlier dates" if many else "with an earlier date"
    if latest[:2] < order.turn[:2]:
        return "with an earlier date or a better rank"
    if latest < order.turn:
        return "with an earlier date, a better rank or an older order"
    return "that can be completed"
