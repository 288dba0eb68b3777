"""What order entry shows beside each row: the candle meant, its price, what stock and the floor would fill of it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from django.db.models import F, Sum
from django.utils import timezone

from inventory.models import FIRSTS, Candle
from inventory.queries.stockroom import free_lots
from orders.allotting import LineDemand, OrderDemand, allot
from orders.cover import Cover, cover_of
from orders.cover import add as add_covers
from orders.domain.ordering import Row
from orders.domain.pricing import price_candles
from orders.domain.setting_aside import lot_facts
from orders.models import MOST_PAIRS, Order, OrderLine
from orders.models.order import CONFIRMED
from orders.money import line_net
from orders.queries.ready_by import ready_rows
from orders.reading import Catalogue, Known, Read, Reader
from orders.ready_words import Ready
from production.models import Frame
from production.queries.ready_by import Outlook, outlooks
from production.queries.spare import spare_by_candle


@dataclass(frozen=True)
class TypedRow:
    """A row as it stands in the form; `line` is what was pasted, where it was not understood."""

    candle: str = ""
    pairs: str = ""
    line: str = ""

    @property
    def blank(self) -> bool:
        return not (self.candle.strip() or self.pairs.strip())


@dataclass
class PageRow:
    """A typed row and what the book says to it. `candle` is set where it was understood, `why` where it was not."""

    n: int
    typed: TypedRow
    why: str = ""
    nearest: list[Candle] = field(default_factory=list)
    candle: Candle | None = None
    pairs: int = 0
    boxes: int | None = None
    price: Decimal = Decimal(0)
    price_from: str = ""
    priced: bool = True
    net: Decimal | None = None
    cover: Cover | None = None
    free: int = 0
    takes: list[tuple[str, int]] = field(default_factory=list)
    hangs: list[tuple[int, Outlook]] = field(default_factory=list)  # pairs from frames that hang for the shelf
    wanted_elsewhere: int = 0
    ready: Ready | None = None
    also_in: list[int] = field(default_factory=list)
    autofocus: bool = False

    @property
    def when_ready(self) -> str:
        return self.ready.when(timezone.localdate())

    @property
    def shown(self) -> TypedRow:
        """What the two fields hold: an understood row stands in its candle's code and whole pairs."""
        return TypedRow(self.candle.code, str(self.pairs)) if self.candle else self.typed


class CandleBook:
    """The candles as order entry needs them: rows, and a reader over them. One query."""

    def __init__(self):
        candles = Candle.objects.select_related("colour", "wax").order_by("code")
        self.by_code = {candle.code: candle for candle in candles}
        known = [
            Known(candle.code, candle.name, candle.pairs_per_box, candle.gtin, candle.active)
            for candle in self.by_code.values()
        ]
        self.reader = Reader(Catalogue(known), MOST_PAIRS)

    @property
    def offered(self) -> list[Candle]:
        return [candle for candle in self.by_code.values() if candle.active]

    def read(self, typed: Sequence[TypedRow]) -> list[PageRow]:
        """Each typed row understood or not; blank rows keep their place."""
        return [self._read_row(n, row) for n, row in enumerate(typed)]

    def _read_row(self, n: int, typed: TypedRow) -> PageRow:
        part = None if typed.blank else self.reader.read_row(typed.candle, typed.pairs)
        if part is None:
            return PageRow(n, typed)
        if isinstance(part, Read):
            return PageRow(n, typed, candle=self.by_code[part.code], pairs=part.pairs, boxes=part.boxes)
        named = typed.candle.strip().upper()
        # A candle already named needs its pairs, not to be offered again.
        nearest = [self.by_code[code] for code in part.nearest if code != named]
        return PageRow(n, typed, why=part.why, nearest=nearest)


def typed_rows_of(order: Order) -> list[TypedRow]:
    """The rows a draft was kept with, the unread ones back in their places."""
    lines = order.lines.filter(seconds_box=None).select_related("candle")
    rows = [TypedRow(line.candle.code, str(line.pairs)) for line in lines]
    for unread in sorted(order.unread, key=lambda row: row.get("at", 0)):
        typed = TypedRow(unread.get("text", ""), unread.get("pairs", ""), unread.get("line", ""))
        rows.insert(min(unread.get("at", len(rows)), len(rows)), typed)
    return rows


def rows_to_keep(rows: Iterable[PageRow]) -> tuple[list[Row], list[dict]]:
    """The understood rows, and the others as a draft keeps them (Order.unread)."""
    filled = [row for row in rows if not row.typed.blank]
    unread = [
        {"at": at, "text": row.typed.candle, "pairs": row.typed.pairs, "line": row.typed.line, "why": row.why}
        for at, row in enumerate(filled)
        if row.candle is None
    ]
    return [Row(row.candle, row.pairs) for row in filled if row.candle], unread


def answer_rows(order: Order, rows: list[PageRow]) -> bool:
    """Put price, stock, floor and plan beside every understood row. Rows of one candle share what there is, in turn.

    Says whether a dip plan stands.
    """
    understood = [row for row in rows if row.candle]
    prices = price_candles(order.shop, order.grade, [(row.candle, row.pairs) for row in understood])
    lots = free_lots({row.candle.pk for row in understood}, order.grade)
    codes = {lot.pk: lot.code for its in lots.values() for lot in its}
    left = {candle: sum(lot.free for lot in its) for candle, its in lots.items()}
    wanted = _wanted_elsewhere(order, left)
    takes = _takes(order, understood, [lot for its in lots.values() for lot in its])
    for row, price in zip(understood, prices, strict=True):
        row.price, row.price_from, row.priced = price.price, price.words, price.known
        # The widest line still fits its column here; an order too dear is refused when it is kept.
        discount = order.shop.discount if price.takes_discount else Decimal(0)
        row.net = line_net_or_none(row.pairs, row.price, discount)
        row.free, row.wanted_elsewhere = left[row.candle.pk], wanted.get(row.candle.pk, 0)
        row.takes = [(codes[lot], pairs) for lot, pairs in takes[row.n]]
        filled = sum(pairs for _, pairs in row.takes)
        left[row.candle.pk] -= filled
        row.cover = cover_of(row.pairs, 0, filled)
        row.also_in = [other.n + 1 for other in understood if other is not row and other.candle == row.candle]
    if order.grade != FIRSTS:
        return False
    _hang(understood)
    return _plan(understood)


def _hang(rows: list[PageRow]) -> None:
    """What stock leaves open is looked for among the firsts that hang for the shelf, the furthest frame first."""
    lacking = [row for row in rows if row.cover.open]
    spare = spare_by_candle({row.candle.pk for row in lacking})
    taken: list[tuple[PageRow, Frame, int]] = []
    for row in lacking:
        left = row.cover.open
        for place, (frame, pairs) in enumerate(spare[row.candle.pk]):
            if (take := min(left, pairs)) > 0:
                spare[row.candle.pk][place] = (frame, pairs - take)
                taken.append((row, frame, take))
                left -= take
    ready = outlooks({frame.pk: frame for _, frame, _ in taken}.values())
    for row, frame, pairs in taken:
        row.hangs.append((pairs, ready[frame.pk]))
    for row in lacking:
        row.cover = cover_of(row.pairs, 0, row.cover.set_aside, sum(pairs for pairs, _ in row.hangs))


def _plan(rows: list[PageRow]) -> bool:
    """When each row could be ready; what frames of the plan would bring of what is still open is its planned part."""
    stands = ready_rows(rows)
    for row in rows:
        if row.ready.planned:
            row.cover = cover_of(row.pairs, 0, row.cover.set_aside, row.cover.on_floor, row.ready.planned)
    return stands


def line_net_or_none(pairs: int, price: Decimal, discount: Decimal) -> Decimal | None:
    try:
        return line_net(pairs, price, discount)
    except ValueError:
        return None


def _takes(order: Order, rows: list[PageRow], lots: list) -> dict[int, tuple]:
    """What the rule would set aside now for these rows if nobody else asked, by row."""
    demand = OrderDemand(
        number=order.number,
        ship_by=order.ship_by or timezone.localdate(),
        rank=order.shop.rank,
        placed_on=order.placed_on,
        # What lies there is shown to complete-only shops too; the page says that they wait for the rest.
        complete_only=False,
        grade=order.grade,
        lines=tuple(LineDemand(row.n, row.candle.pk, row.pairs) for row in rows),
    )
    return {part.line: part.takes for part in allot([demand], lot_facts(lots)).lines}


def _wanted_elsewhere(order: Order, candles: Iterable[int]) -> dict[int, int]:
    """Pairs of each candle that other confirmed orders still have open: free now may not be free for long."""
    lines = OrderLine.objects.filter(order__status=CONFIRMED, order__grade=order.grade, candle__in=list(candles))
    still_open = Sum(F("pairs") - F("sent") - F("set_aside"))
    return dict(lines.exclude(order=order).order_by().values_list("candle").annotate(open=still_open))


def cover_of_rows(rows: Iterable[PageRow]) -> Cover:
    return add_covers(row.cover for row in rows if row.cover)
