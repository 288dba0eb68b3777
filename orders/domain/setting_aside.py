"""Setting aside: one action for an order, one for the whole order book, by the rule in orders.allotting.

The functions that take promises back, hand them over and send them are in orders.domain.releasing and are named here
too, so that whoever deals with promises has one place to look.
"""

from collections import defaultdict
from dataclasses import dataclass

from django.db import transaction
from django.db.models import F

from inventory.domain.records import LONGEST, record
from inventory.domain.rows import update_rows
from inventory.models import Lot
from inventory.words import listed
from orders.allotting import Allotment, LineAllotment, LineDemand, LotFacts, OrderDemand, allot
from orders.domain.holding import Locked, add_promises, lock_orders, open_pairs, point_wants, sync_lines
from orders.models import Order, OrderLine, Shop
from orders.models.order import CONFIRMED
from production.domain.spare import hang_spare_for

# Of an order and its shop, which have eighty columns between them.
READ = ("number", "grade", "status", "ship_by", "placed_on", "complete_only", "shop__name", "shop__town", "shop__rank")


@dataclass(frozen=True)
class Result:
    """What one setting aside did: pairs newly promised, pairs still open, numbers of the orders now complete."""

    pairs: int
    short: int
    complete: frozenset[int]

    def in_words(self) -> str:
        if not self.pairs and not self.short:
            return "Nothing was open: every pair is set aside or sent."
        done = f"{self.pairs} pairs set aside" if self.pairs else "Nothing could be set aside"
        return f"{done}; {self.short} stay open." if self.short else f"{done}; nothing stays open."


@transaction.atomic
def set_aside_order(*, order: Order, by) -> Result:
    """Set aside what is free for one order. Drafts, done and cancelled orders are left alone."""
    return _set_aside(lock_orders(open_orders().filter(pk=order.pk)), by)


@transaction.atomic
def set_aside_book(*, by, order_numbers=None) -> Result:
    """Set aside what is free for every confirmed order (or those numbered), in the rule's turn."""
    return _set_aside(lock_orders(open_orders(order_numbers)), by)


def open_orders(order_numbers=None):
    """Confirmed orders, of each what the rule reads and its wants say.

    Lines are not asked here, because locking through a join would lock too little.
    """
    orders = Order.objects.filter(status=CONFIRMED).select_related("shop").only(*READ)
    return orders if order_numbers is None else orders.filter(number__in=list(order_numbers))


def _set_aside(locked: Locked, by) -> Result:
    lots = lock_free_lots(locked)
    return apply_allotment(locked, lots, allot(demands(locked), lot_facts(lots.values())), by)


def lock_free_lots(locked: Locked) -> dict[int, Lot]:
    """Lock every lot with free pairs of a candle and grade that a locked order has open."""
    return {lot.pk: lot for lot in lots_wanted(locked).select_for_update()}


def lots_wanted(orders: Locked):
    """The lots with free pairs that could fill a line of these orders, by key."""
    wanted = {line.candle_id for line in orders.lines.values() if open_pairs(line)}
    grades = {order.grade for order in orders.orders.values()}
    # Above nought as well, so that the lots emptied over the years are not looked at: they are not in that index.
    held = Lot.objects.filter(candle__in=wanted, grade__in=grades, on_hand__gt=0, set_aside__lt=F("on_hand"))
    return held.order_by("pk")


def lot_facts(lots) -> list[LotFacts]:
    return [
        LotFacts(lot.pk, lot.code, lot.candle_id, lot.grade, lot.made_on, lot.dip_run, lot.free, lot.set_aside)
        for lot in lots
    ]


def demands(locked: Locked) -> list[OrderDemand]:
    """What the locked orders have open, as plain facts."""
    holding = {promise.lot_id for promise in locked.promises.values()}
    held = {facts.id: facts for facts in lot_facts(Lot.objects.filter(pk__in=holding))} if holding else {}
    holds = defaultdict(list)
    for promise in locked.promises.values():
        holds[promise.line_id].append(held[promise.lot_id])
    lines, found = locked.lines_by_order(), []
    for order in locked.orders.values():
        its = tuple(
            LineDemand(line.pk, line.candle_id, pairs, tuple(holds[line.pk]))
            for line in lines[order.pk]
            if (pairs := open_pairs(line))
        )
        if its:
            terms = (order.ship_by, order.shop.rank, order.placed_on, order.complete_only, order.grade)
            found.append(OrderDemand(order.number, *terms, its))
    return found


def apply_allotment(locked: Locked, lots: dict[int, Lot], allotment: Allotment, by) -> Result:
    """Write an allotment made from these locked rows: promises, counters, reasons, wants and records."""
    rows = [(locked.lines[part.line], part) for part in allotment.lines]
    changed = {line.pk: line for line, part in rows if part.takes or line.why != part.why}
    add_promises(locked, lots, [(line, lot_id, pairs) for line, part in rows for lot_id, pairs in part.takes], by)
    for line, part in rows:
        line.why = part.why
    changed.update((line.pk, line) for line in point_wants(locked.lines.values()))
    update_rows(changed.values(), ["set_aside", "why", "want"])
    parts = defaultdict(list)
    for line, part in rows:
        parts[line.order_id].append((line, part))
    for order in locked.orders.values():
        _record_order(order, parts[order.pk], lots, by)
    return Result(allotment.pairs, allotment.short, allotment.complete)


def _record_order(order: Order, rows: list[tuple[OrderLine, LineAllotment]], lots: dict[int, Lot], by) -> None:
    pairs, short = sum(part.pairs for _, part in rows), sum(part.short for _, part in rows)
    if not pairs:
        return
    words = [f"{n} x {line.candle.code} of {lots[lot_id].code}" for line, part in rows for lot_id, n in part.takes]
    what = f"Set aside {pairs} pairs{f', {short} stay open' if short else ''}: "
    record(subject="order", subject_id=order.pk, what=what + listed(words, LONGEST - len(what)), by=by)


@transaction.atomic
def sync_wants(order: Order) -> None:
    """Keep one want for each confirmed line of firsts with open pairs; none for anything else.

    What hangs for the shelf hangs for them from now on.
    """
    locked = lock_orders([order.pk])
    sync_lines(locked.lines.values())
    hang_spare_for(line.want_id for line in locked.lines.values() if line.want_id)


@transaction.atomic
def sync_shop_wants(shop: Shop) -> None:
    """After a shop's name, town or rank changed: the wants of its open orders copy them, and say so again."""
    sync_lines(lock_orders(open_orders().filter(shop=shop)).lines.values())
