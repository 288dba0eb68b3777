"""When stock is short: the rule's own allotment of the whole order book, and the one that completes most orders.

They are computed to be looked at, without a lock. What is applied is allotted once more, under the locks, and refused
where the facts are no longer those that were looked at.
"""

import hashlib
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.db import transaction

from inventory.domain.versions import StaleVersion
from orders.allotting import Allotment, LotFacts, OrderDemand, allot
from orders.domain.holding import lock_orders, read_orders
from orders.domain.setting_aside import (
    Result,
    apply_allotment,
    demands,
    lock_free_lots,
    lot_facts,
    lots_wanted,
    open_orders,
)
from orders.most_complete import choose_most_complete

RULE, MOST = "rule", "most"
CHANGED = "Orders or stock changed while you were looking. Both ways are worked out afresh: look, then choose again."


@dataclass(frozen=True)
class TwoWays:
    """Both allotments of the same facts. `facts`: their digest; `first`: whom `most` completes."""

    facts: str
    orders: tuple[OrderDemand, ...]
    rule: Allotment
    most: Allotment
    first: frozenset[int]
    proven: bool

    @property
    def more(self) -> int:
        """Orders that the second way completes beyond the rule's own."""
        return len(self.most.complete) - len(self.rule.complete)


def compare_ways() -> TwoWays:
    """Both ways for the order book as it stands now. Reads only."""
    book = read_orders(open_orders())
    return _both(demands(book), lot_facts(lots_wanted(book)))


def set_aside_book_by(*, way: str, facts: str, by) -> Result:
    """Apply the way that was looked at. StaleVersion where the facts differ now; ValidationError for no such way."""
    if way not in (RULE, MOST):
        raise ValidationError({"way": "Choose one of the two ways."})
    # Searched before the locks are taken: nobody waits for it, and the digest says whether it still holds.
    ways = compare_ways() if way == MOST else None
    with transaction.atomic():
        locked = lock_orders(open_orders())
        lots = lock_free_lots(locked)
        wanted, stock = demands(locked), lot_facts(lots.values())
        if digest(wanted, stock) != facts or (ways and ways.facts != facts):
            raise StaleVersion(CHANGED)
        first = ways.first if ways else frozenset()
        return apply_allotment(locked, lots, allot(wanted, stock, first=first), by)


def digest(orders: list[OrderDemand], lots: list[LotFacts]) -> str:
    """64 hex digits over everything an allotment depends on."""
    facts = sorted(orders, key=lambda order: order.number), sorted(lots, key=lambda lot: lot.id)
    return hashlib.sha256(repr(facts).encode()).hexdigest()


def _both(orders: list[OrderDemand], lots: list[LotFacts]) -> TwoWays:
    rule = allot(orders, lots)
    choice = choose_most_complete(orders, lots)
    most = rule if choice.numbers == rule.complete else allot(orders, lots, first=choice.numbers)
    return TwoWays(digest(orders, lots), tuple(orders), rule, most, choice.numbers, choice.proven)
