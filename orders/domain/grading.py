"""What a graded frame means for the orders it hung for: its firsts are set aside for their lines at once."""

from collections.abc import Iterable

from inventory.domain.lots import lock_lots
from inventory.models import Lot
from orders.domain.holding import Locked, lock_orders
from orders.domain.setting_aside import apply_allotment, demands, lot_facts, lots_wanted
from orders.from_frame import FrameGave, share_out
from orders.models import Order, OrderLine
from orders.models.order import CONFIRMED
from production.queries.on_floor import on_floor_by_want


def lock_above(wants: Iterable[int]) -> set[int]:
    """Lock the orders that have these wants, and all their lines; return the keys of all their wants, unlocked.

    The wants are left to production, which locks them together with its own, in one order of keys.
    """
    orders = _orders_of(wants).select_for_update().order_by("pk").values_list("pk", flat=True)
    lines = OrderLine.objects.filter(order__in=list(orders)).select_for_update().order_by("pk")
    return {want for want in lines.values_list("want", flat=True) if want}


def _orders_of(wants: Iterable[int]):
    # By keys read before: locking through a join would lock too little on one database and too much on the other.
    lines = OrderLine.objects.filter(want__in=list(wants))
    return Order.objects.filter(pk__in=list(lines.values_list("order", flat=True)), status=CONFIRMED)


def set_aside_frame(*, frame, lot: Lot | None, pairs: int, wants: dict[int, int], by) -> dict[int, int]:
    """Set aside `pairs` of firsts in `lot` for the lines the frame was hung for; return what each of their wants got.

    `wants`: {key: pairs hung for it}; those of no order are left out of the answer. Orders, lines, wants and the frame
    are locked by the caller's transaction. What no line takes stays free on the shelf; what stays open stays wanted.
    """
    locked = lock_orders(_orders_of(wants))
    lines = {line.want_id: line for line in locked.lines.values() if line.want_id in wants}
    if not lines:
        return {}
    lots = _lock_lots(locked, lot)
    facts = {row.id: row for row in lot_facts(lots.values())}
    elsewhere = on_floor_by_want(lines)
    gave = FrameGave(
        frame=frame.code,
        lot=facts.get(lot.pk) if lot else None,
        pairs=pairs,
        hung_for={line.pk: wants[want] for want, line in lines.items()},
        elsewhere={line.pk: elsewhere.get(want, 0) for want, line in lines.items()},
    )
    before = {want: line.set_aside for want, line in lines.items()}
    apply_allotment(locked, lots, share_out(demands(locked), gave, facts.values()), by)
    return {want: line.set_aside - before[want] for want, line in lines.items()}


def _lock_lots(locked: Locked, lot: Lot | None) -> dict[int, Lot]:
    """The new lot, and the free ones an order that leaves complete may take from, by key."""
    keys = {lot.pk} if lot else set()
    if any(order.complete_only for order in locked.orders.values()):
        keys.update(lots_wanted(locked).values_list("pk", flat=True))
    return lock_lots(keys)
