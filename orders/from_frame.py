"""Which order lines get the firsts of a graded frame. No Django here: facts in, allotment and reasons out.

The pairs go to the lines the frame was hung for, in the rule's turn (orders.allotting): ship-by date, rank, age.
First each line gets what was hung for it; firsts above that go to those lines' pairs that no other frame hangs for;
the rest is the shelf's. A shop that takes complete deliveries only gets all or nothing: its order is completed from
this frame and what else is free, or takes none of it. The same facts give the same allotment.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, replace

from orders.allotting import Allotment, LineAllotment, LineDemand, LotFacts, OrderDemand, allot, lots_in_words


@dataclass(frozen=True)
class FrameGave:
    """`pairs` of firsts to hand out. `lot` is None where there are none.

    hung_for, by line: pairs of firsts the frame was hung for. elsewhere, by line: pairs that other frames hang for.
    """

    frame: str
    lot: LotFacts | None
    pairs: int
    hung_for: dict[int, int]
    elsewhere: dict[int, int]


class _Sharing:
    """Pairs of the frame and of other lots while they are handed out."""

    def __init__(self, gave: FrameGave, lots: Iterable[LotFacts]):
        self.gave, self.left = gave, gave.pairs
        own = gave.lot.id if gave.lot else None
        self.others = {lot.id: lot for lot in lots if lot.id != own}
        self.takes: dict[int, dict[int, int]] = defaultdict(lambda: defaultdict(int))
        self.why: dict[int, str] = {}

    def taken(self, line: LineDemand) -> int:
        return sum(self.takes[line.id].values())

    def take(self, line: LineDemand, pairs: int) -> None:
        """Hand the line up to `pairs` of the frame's firsts."""
        pairs = min(pairs, self.left, line.open - self.taken(line))
        if pairs > 0 and self.gave.lot:
            self.takes[line.id][self.gave.lot.id] += pairs
            self.left -= pairs

    def complete(self, order: OrderDemand, most: int) -> None:
        """All or nothing, with up to `most` of the frame's firsts and whatever else is free."""
        if any(self.taken(line) for line in order.lines):
            return
        own = [replace(self.gave.lot, free=min(most, self.left))] if self.gave.lot else []
        tried = allot([order], [*self.others.values(), *own])
        for part in tried.lines:
            self.why[part.line] = part.why
            for lot, pairs in part.takes:
                self.takes[part.line][lot] += pairs
                if lot in self.others:
                    self.others[lot] = replace(self.others[lot], free=self.others[lot].free - pairs)
                else:
                    self.left -= pairs


def share_out(orders: Iterable[OrderDemand], gave: FrameGave, lots: Iterable[LotFacts]) -> Allotment:
    """Hand a frame's firsts to `orders` (with all their open lines). `lots` are the free ones of the same kinds."""
    sharing = _Sharing(gave, lots)
    in_turn = sorted(orders, key=lambda order: order.turn)
    for order in in_turn:
        mine = [line for line in order.lines if line.id in gave.hung_for]
        if order.complete_only:
            sharing.complete(order, sum(gave.hung_for[line.id] for line in mine))
        else:
            for line in mine:
                sharing.take(line, gave.hung_for[line.id])
    for order in in_turn:
        if order.complete_only:
            sharing.complete(order, sharing.left)
        else:
            for line in order.lines:
                if line.id in gave.hung_for:
                    sharing.take(line, line.open - sharing.taken(line) - gave.elsewhere.get(line.id, 0))
    return Allotment(tuple(_result(sharing, order, line) for order in in_turn for line in _told(order, gave)))


def _told(order: OrderDemand, gave: FrameGave) -> list[LineDemand]:
    """The lines that are told: of an order that leaves complete all, of others those the frame hung for."""
    return [line for line in order.lines if order.complete_only or line.id in gave.hung_for]


def _result(sharing: _Sharing, order: OrderDemand, line: LineDemand) -> LineAllotment:
    takes = tuple(sharing.takes[line.id].items())
    short = line.open - sharing.taken(line)
    why = sharing.why.get(line.id) if order.complete_only else _reason(sharing, line, takes)
    return LineAllotment(line.id, order.number, takes, short, why or "")


def _reason(sharing: _Sharing, line: LineDemand, takes: tuple) -> str:
    gave, parts = sharing.gave, []
    missing = min(gave.hung_for[line.id], line.open) - sharing.taken(line)
    if missing > 0:
        parts.append(f"{missing} short: frame {gave.frame} gave {gave.pairs} of {sum(gave.hung_for.values())} firsts")
    lots = {lot.id: lot for lot in (*line.holds, *([gave.lot] if takes else []))}
    if lots:
        parts.append(lots_in_words(list(lots.values())))
    return "; ".join(parts)
