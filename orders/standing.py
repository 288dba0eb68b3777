"""How an order stands, in words. No Django: facts in, sentences out."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from orders.cover import Cover

FRIDAY = 4


@dataclass(frozen=True)
class Standing:
    """What the words are made of. `short_of`: codes of candles with open pairs; days as far as they are known."""

    status: str
    cover: Cover
    complete_only: bool = False
    on_stop: bool = False
    short_of: tuple[str, ...] = ()
    being_packed: bool = False
    packed_for: date | None = None
    left_on: date | None = None

    @property
    def ready(self) -> bool:
        """Nothing missing, and pairs set aside that are in no box yet."""
        boxed = self.being_packed or self.packed_for
        return self.status == "confirmed" and not self.cover.missing and bool(self.cover.set_aside) and not boxed

    def in_words(self) -> str:
        if self.status == "done":
            return f"sent {short_day(self.left_on)}" if self.left_on else "done"
        if self.status != "confirmed":
            return self.status
        parts = [self._boxes() or self._missing() or "ready to pack"]
        return "; ".join([*parts, "on stop"] if self.on_stop else parts)

    def _boxes(self) -> str:
        still_open = f"{self.cover.open:,} open" if self.cover.open else ""
        rest = "".join(f"; {words}" for words in (self._on_floor(), self._planned(), still_open) if words)
        if self.being_packed:
            return f"being packed{rest}"
        return f"packed for {short_day(self.packed_for)}{rest}" if self.packed_for else ""

    def _on_floor(self) -> str:
        return f"{self.cover.on_floor:,} on the floor" if self.cover.on_floor else ""

    def _planned(self) -> str:
        return f"{self.cover.planned:,} planned" if self.cover.planned else ""

    def _missing(self) -> str:
        return "; ".join(filter(None, (self._on_floor(), self._planned(), self._open())))

    def _open(self) -> str:
        if not self.cover.open:
            return ""
        if self.complete_only:
            return f"{self.cover.open:,} short; takes complete only"
        if is_bare(self.cover):
            return "nothing set aside yet"
        of = self.short_of
        where = f" of {' and '.join(of)}" if 0 < len(of) < 3 else f" on {len(of)} lines" if of else ""
        return f"{self.cover.open:,} short{where}"


def is_bare(cover: Cover) -> bool:
    """Pairs are open, and nothing was sent, set aside, hung or planned for the order."""
    return cover.open > 0 and cover.open == cover.pairs


def waits_on_floor(cover: Cover) -> bool:
    """All that is missing hangs."""
    return cover.on_floor > 0 and not (cover.planned or cover.open)


def waits_on_plan(cover: Cover) -> bool:
    """All that is missing hangs or will be hung, if the dip plan is kept to."""
    return cover.planned > 0 and not cover.open


@dataclass(frozen=True)
class Due:
    """An open order as the book's first sentence counts it."""

    ship_by: date
    cover: Cover


def due_day(today: date) -> date:
    """The Friday that ends this working week; at the weekend, next week's."""
    return today + timedelta(days=(FRIDAY - today.weekday()) % 7)


def due_sentence(orders: Iterable[Due], until: date) -> str:
    """ "11 of 14 orders due by Friday are covered; 2 wait on the floor, 1 is short by 24 pairs." """
    orders = list(orders)
    due = [order for order in orders if order.ship_by <= until]
    by = f"due by Friday {until.day} {until:%B}"
    if not due:
        later = min((order.ship_by for order in orders), default=None)
        return f"No order is {by}" + (f"; the next is due on {later.day} {later:%B}." if later else ".")
    covered = sum(not order.cover.missing for order in due)
    if covered == len(due):
        return f"All {len(due)} orders {by} are covered." if len(due) > 1 else f"The one order {by} is covered."
    return f"{_covered(covered, len(due), by)}; {', '.join(_not_covered(due))}."


def _not_covered(due: list[Due]) -> Iterable[str]:
    """Each order that is not covered is counted in one of these."""
    waiting = sum(waits_on_floor(order.cover) for order in due)
    planned = sum(waits_on_plan(order.cover) for order in due)
    bare = sum(is_bare(order.cover) for order in due)
    short = [order.cover.open for order in due if order.cover.open and not is_bare(order.cover)]
    if waiting:
        yield f"{waiting} {'waits' if waiting == 1 else 'wait'} on the floor"
    if planned:
        yield f"{planned} {'waits' if planned == 1 else 'wait'} on the dip plan"
    if bare:
        yield f"{bare} {'has' if bare == 1 else 'have'} nothing set aside"
    if short:
        noun = "pair" if sum(short) == 1 else "pairs"
        yield f"{len(short)} {'is' if len(short) == 1 else 'are'} short by {sum(short):,} {noun}"


def _covered(covered: int, due: int, by: str) -> str:
    if due == 1:
        return f"The one order {by} is not covered"
    if not covered:
        return f"None of {due} orders {by} is covered"
    return f"{covered} of {due} orders {by} {'is' if covered == 1 else 'are'} covered"


def short_day(day: date, today: date | None = None) -> str:
    """ "9 Dec", with the year where it is not this one (`today` None leaves it out)."""
    return f"{day.day} {day:%b}" + (f" {day.year}" if today and day.year != today.year else "")


def _missing_parts(cover: Cover) -> tuple[tuple[int, str], ...]:
    return (cover.open, "open"), (cover.on_floor, "on the floor"), (cover.planned, "planned")


def order_sentence(number: int, shop: str, ship_by: date | None, standing: Standing, today: date) -> str:
    """The first line of an order's page: how much of it is open, and by when it should go."""
    cover, one = standing.cover, standing.cover.pairs == 1
    pairs = f"{cover.pairs:,} {'pair' if one else 'pairs'}"
    whole, are, have = ("the pair", "is", "has") if one else (f"all {pairs}", "are", "have")
    if standing.status == "done":
        when = f", the last on {standing.left_on.day} {standing.left_on:%B}" if standing.left_on else ""
        return f"Order {number}: {whole} for {shop} {have} left{when}."
    if standing.status != "confirmed":
        return f"Order {number}: {pairs} for {shop}, {standing.status}."
    due = f"{'it was due on' if ship_by < today else 'ship by'} {ship_by.day} {ship_by:%B}"
    if cover.missing:
        missing = [f"{n:,} {what}" for n, what in _missing_parts(cover) if n]
        # "12 of 60 pairs are open, 24 on the floor": the first figure carries the verb.
        first, _, word = missing[0].partition(" ")
        rest = "".join(f", {part}" for part in missing[1:])
        verb = "is" if first == "1" else "are"
        return f"Order {number}: {first} of {pairs} for {shop} {verb} {word}{rest}; {due}."
    return f"Order {number}: {whole} for {shop} {are} covered, {standing.in_words()}; {due}."
