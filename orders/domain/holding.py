"""Locks and single steps that every change of a promise is made of.

Locks are taken in one order everywhere: order, line, want, lot, each by its key. A promise is guarded by the lock of
its order, a lot's counter by the lock of the lot. Nothing here opens a transaction: the caller's is the one.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field

from django.core.exceptions import ValidationError
from django.utils import timezone

from inventory.domain.lots import free_pairs, hold_pairs
from inventory.domain.rows import update_rows
from inventory.models import FIRSTS, Lot
from orders.models import Order, OrderLine, SetAside
from orders.models.order import CONFIRMED, DONE
from production.domain.wants import Said, drop_wants, keep_wants, lock_wants


@dataclass
class Locked:
    """Orders with all their lines, wants and promises, ready to be changed."""

    orders: dict[int, Order]
    lines: dict[int, OrderLine]
    promises: dict[int, SetAside] = field(default_factory=dict)

    def lines_of(self, order: Order) -> list[OrderLine]:
        return self.lines_by_order()[order.pk]

    def lines_by_order(self) -> dict[int, list[OrderLine]]:
        """For all orders at once; each order's lines as they stand on it."""
        found = defaultdict(list)
        for line in sorted(self.lines.values(), key=lambda line: (line.position, line.pk)):
            found[line.order_id].append(line)
        return found

    def promises_of(self, line: OrderLine) -> list[SetAside]:
        return [promise for promise in self.promises.values() if promise.line_id == line.pk]


def open_pairs(line: OrderLine) -> int:
    """Pairs of the line that are neither sent nor set aside."""
    return line.pairs - line.sent - line.set_aside


def lock_orders(orders) -> Locked:
    """Lock the orders (a queryset or keys), their lines and wants; lots are locked after this, by the caller."""
    return _load(orders, locked=True)


def read_orders(orders) -> Locked:
    """The same rows without a lock: to look at, never to change."""
    return _load(orders, locked=False)


def _load(orders, *, locked: bool) -> Locked:
    queryset = orders if hasattr(orders, "filter") else Order.objects.filter(pk__in=list(orders))
    rows = queryset.select_related("shop").order_by("pk")
    found = Locked({order.pk: order for order in _for_update(rows, locked)}, {})
    lines = OrderLine.objects.filter(order__in=found.orders).select_related("candle").order_by("pk")
    for line in _for_update(lines, locked):
        line.order = found.orders[line.order_id]
        found.lines[line.pk] = line
    if locked:
        wants = lock_wants(line.want_id for line in found.lines.values() if line.want_id)
        for line in found.lines.values():
            line.want = wants.get(line.want_id)
    # The counter of a locked line is the sum of its promises: at nought there are none to ask for.
    if holding := [line.pk for line in found.lines.values() if line.set_aside]:
        for promise in SetAside.objects.filter(line__in=holding).order_by("pk"):
            promise.line = found.lines[promise.line_id]
            found.promises[promise.pk] = promise
    return found


def _for_update(rows, locked: bool):
    # Of the row itself only: a join would lock shops and candles too, and nobody else locks those.
    return rows.select_for_update(of=("self",)) if locked else rows


def add_promises(locked: Locked, lots: dict[int, Lot], takes: Iterable[tuple[OrderLine, int, int]], by) -> None:
    """Promise pairs: (line, lot id, pairs) each. One row a line and lot; counters of line and lot go with it."""
    existing = {(promise.line_id, promise.lot_id): promise for promise in locked.promises.values()}
    grown, new, by_lot = {}, {}, defaultdict(int)
    now = timezone.now()
    for line, lot_id, pairs in takes:
        by_lot[lot_id] += pairs
        line.set_aside += pairs
        if promise := existing.get((line.pk, lot_id)):
            promise.pairs += pairs
            grown[promise.pk] = promise
        else:
            new[line.pk, lot_id] = SetAside(line=line, lot=lots[lot_id], pairs=pairs, at=now, by=by)
    hold_pairs((lots[lot_id], pairs) for lot_id, pairs in by_lot.items())
    update_rows(grown.values(), ["pairs"])
    for promise in SetAside.objects.bulk_create(new.values()):
        locked.promises[promise.pk] = promise


def drop_pairs(locked: Locked, lot: Lot, promise: SetAside, pairs: int) -> None:
    """Take `pairs` off a promise: the lot's are free again, the line's open. Packed pairs stay."""
    refuse_in_box(promise.line)
    check_unpacked(promise, lot, pairs)
    free_pairs(lot, pairs)
    shrink_promises(locked, [(promise, pairs)])
    promise.line.set_aside -= pairs


def refuse_in_box(line: OrderLine) -> None:
    """ValidationError for a line whose pairs lie in a box of seconds: they go together or not at all."""
    if line.seconds_box_id:
        raise ValidationError(
            f"These pairs lie in box {line.seconds_box.code}: take the whole box off the order instead."
        )


def check_unpacked(promise: SetAside, lot: Lot, pairs: int) -> None:
    """ValidationError unless `pairs` of the promise are there and not yet in a box."""
    can_go = promise.pairs - promise.packed
    if not 0 < pairs <= can_go:
        packed = f" ({promise.packed} are packed)" if promise.packed else ""
        raise ValidationError(
            {"pairs": f"Between 1 and {can_go} pairs of {lot.code} can go{packed}."}
            if can_go
            else {"pairs": f"All {promise.pairs} pairs of {lot.code} are packed: unpack them first."}
        )


def shrink_promises(locked: Locked, parts: Iterable[tuple[SetAside, int]]) -> None:
    """The promises themselves, each named once, without lots and lines; empty ones are gone."""
    left, empty = [], []
    for promise, pairs in parts:
        promise.pairs -= pairs
        (left if promise.pairs else empty).append(promise)
    update_rows(left, ["pairs", "packed"])
    for promise in empty:
        locked.promises.pop(promise.pk, None)
    if empty:
        SetAside.objects.filter(pk__in=[promise.pk for promise in empty]).delete()


def sync_lines(lines: Iterable[OrderLine]) -> None:
    """One want for each line of firsts with open pairs, none for the others. Orders, lines and wants are locked."""
    update_rows(point_wants(lines), ["want"])


def point_wants(lines: Iterable[OrderLine]) -> list[OrderLine]:
    """As sync_lines, but the lines that now have another want or none are left to the caller to write: returned."""
    wanted, filled = [], []
    for line in lines:
        order = line.order
        if order.status == CONFIRMED and order.grade == FIRSTS and open_pairs(line):
            wanted.append(line)
        elif line.want_id:
            filled.append(line)
    drop_wants(line.want for line in filled)
    for line in filled:
        line.want = None
    other, wants = filled, keep_wants((line.want, _said(line)) for line in wanted) if wanted else []
    for line, want in zip(wanted, wants, strict=True):
        if line.want_id != want.pk:
            line.want = want
            other.append(line)
    return other


def _said(line: OrderLine) -> Said:
    order = line.order
    return Said(
        candle=line.candle,
        pairs=open_pairs(line),
        wanted_by=order.ship_by,
        for_whom=str(order.shop),
        rank=order.shop.rank,
        group=f"order {order.number}",
        all_or_nothing=order.complete_only,
    )


def finish_if_sent(order: Order, lines: list[OrderLine]) -> bool:
    """Mark a confirmed order done once every pair has left. True when it is done now."""
    if order.status != CONFIRMED or not any(line.sent for line in lines):
        return False
    if any(line.pairs != line.sent for line in lines):
        return False
    order.status = DONE
    order.save(update_fields=["status"])
    return True


def grow_version(order: Order) -> None:
    """A form made before this change of the order is refused from now on."""
    order.version += 1
    order.save(update_fields=["version"])
