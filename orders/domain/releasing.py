"""Promises taken back, handed to another order, packed and sent."""

from collections import defaultdict
from collections.abc import Iterable

from django.core.exceptions import ValidationError
from django.db import transaction

from inventory.domain.lots import lock_lots, send_pairs
from inventory.domain.records import record
from inventory.domain.rows import update_rows
from inventory.domain.versions import check_version
from inventory.models import Lot, Movement
from orders.domain.holding import (
    Locked,
    add_promises,
    check_unpacked,
    drop_pairs,
    finish_if_sent,
    grow_version,
    lock_orders,
    open_pairs,
    shrink_promises,
    sync_lines,
)
from orders.models import Order, OrderLine, SetAside
from orders.models.order import CONFIRMED

GONE = "These pairs are no longer set aside for this order."


@transaction.atomic
def release_promise(*, promise: SetAside, pairs: int, by, reason: str = "", version: int | None = None) -> int:
    """Take back `pairs` of one promise. ValidationError where it is gone, packed or smaller; StaleVersion likewise."""
    locked = lock_orders([promise.line.order_id])
    order = locked.orders[promise.line.order_id]
    if version is not None:
        check_version(order, version)
    if promise.pk not in locked.promises:
        raise ValidationError(GONE)
    return _release(locked, order, {promise.pk: pairs}, by=by, reason=reason)


@transaction.atomic
def release_order(*, order: Order, by, reason: str = "", version: int | None = None) -> int:
    """Take back all unpacked pairs of the order and return how many. Nothing set aside: nothing happens."""
    locked = lock_orders([order.pk])
    fresh = locked.orders[order.pk]
    if version is not None:
        check_version(fresh, version)
    pairs = _release(locked, fresh, _unpacked(locked.promises.values()), by=by, reason=reason)
    order.version = fresh.version
    return pairs


@transaction.atomic
def release_line(line: OrderLine, by, pairs: int | None = None, reason: str = "") -> int:
    """Take back all unpacked pairs of a line, or `pairs` of them (youngest lot first), and return how many.

    `line` itself is brought up to date, so that the caller may save it. ValidationError where fewer are unpacked.
    For several lines use release_order: it locks all their lots at once.
    """
    locked = lock_orders([line.order_id])
    promises = locked.promises_of(locked.lines[line.pk])
    takes = _unpacked(promises)
    if pairs is not None:
        takes = _youngest(promises, pairs)
    released = _release(locked, locked.orders[line.order_id], takes, by=by, reason=reason)
    fresh = locked.lines[line.pk]
    line.set_aside, line.sent, line.why, line.want_id = fresh.set_aside, fresh.sent, fresh.why, fresh.want_id
    return released


def _unpacked(promises) -> dict[int, int]:
    """What can be released. What lies in a box of seconds stays: only the whole box is taken off."""
    singly = [promise for promise in promises if not promise.line.seconds_box_id]
    return {promise.pk: promise.pairs - promise.packed for promise in singly if promise.pairs > promise.packed}


def _youngest(promises: list[SetAside], pairs: int) -> dict[int, int]:
    lots = {lot.pk: lot for lot in Lot.objects.filter(pk__in=[promise.lot_id for promise in promises])}
    takes, need = {}, pairs
    for promise in sorted(promises, key=lambda p: (lots[p.lot_id].made_on, p.lot_id), reverse=True):
        if part := min(need, promise.pairs - promise.packed):
            takes[promise.pk] = part
            need -= part
    if need:
        can_go = pairs - need
        raise ValidationError({"pairs": f"Only {can_go} pairs can be released; the others are packed: unpack them."})
    return takes


def _release(locked: Locked, order: Order, takes: dict[int, int], *, by, reason: str) -> int:
    if not takes:
        return 0
    lots = lock_lots(locked.promises[pk].lot_id for pk in takes)
    touched, words = {}, []
    for pk, pairs in sorted(takes.items()):
        promise = locked.promises[pk]
        lot, line = lots[promise.lot_id], promise.line
        drop_pairs(locked, lot, promise, pairs)
        touched[line.pk] = line
        line.why = f"{pairs} released by {by}" + (f": {reason}" if reason else "")
        line.why = line.why[: OrderLine._meta.get_field("why").max_length]
        words.append(f"{pairs} x {line.candle.code} of {lot.code}")
    update_rows(touched.values(), ["set_aside", "why"])
    sync_lines(touched.values())
    grow_version(order)
    total = sum(takes.values())
    what = f"Released {total} pairs{': ' + reason if reason else ''}. {', '.join(words)}"
    record(subject="order", subject_id=order.pk, what=what, by=by)
    return total


@transaction.atomic
def take_over(*, from_promise: SetAside, to_line: OrderLine, pairs: int, by, version: int | None = None) -> SetAside:
    """Hand `pairs` set aside for one order to a line of another. Both orders' records say so.

    `version`: of the giving order, as the person saw it. ValidationError where the pairs are gone or packed, the line
    has no room for them, or candle or grade differ.
    """
    locked = lock_orders({from_promise.line.order_id, to_line.order_id})
    giver, taker = locked.orders[from_promise.line.order_id], locked.orders[to_line.order_id]
    if version is not None:
        check_version(giver, version)
    if from_promise.pk not in locked.promises:
        raise ValidationError(GONE)
    promise, line = locked.promises[from_promise.pk], locked.lines[to_line.pk]
    lot = lock_lots([promise.lot_id])[promise.lot_id]
    _check_take_over(promise, line, lot, pairs)
    _hand_over(locked, promise=promise, line=line, lot=lot, pairs=pairs, by=by)
    for order, what in (
        (giver, f"{pairs} pairs of {lot.code} ({line.candle.code}) handed over to order {taker.number}"),
        (taker, f"{pairs} pairs of {lot.code} ({line.candle.code}) taken over from order {giver.number}"),
    ):
        grow_version(order)
        record(subject="order", subject_id=order.pk, what=what, by=by)
    return next(p for p in locked.promises_of(line) if p.lot_id == lot.pk)


def _hand_over(locked: Locked, *, promise: SetAside, line: OrderLine, lot: Lot, pairs: int, by) -> None:
    old = promise.line
    drop_pairs(locked, lot, promise, pairs)
    add_promises(locked, {lot.pk: lot}, [(line, lot.pk, pairs)], by)
    old.why = f"{pairs} handed over to order {line.order.number} by {by}"
    line.why = f"{pairs} of {lot.code} taken over from order {old.order.number} by {by}"
    update_rows([old, line], ["set_aside", "why"])
    sync_lines([old, line])


def _check_take_over(promise: SetAside, line: OrderLine, lot: Lot, pairs: int) -> None:
    giver, taker = promise.line.order, line.order
    check_unpacked(promise, lot, pairs)
    if giver.pk == taker.pk:
        raise ValidationError("Both lines are of one order: change the pairs of the lines instead.")
    if giver.status != CONFIRMED or taker.status != CONFIRMED:
        raise ValidationError("Only between orders that are confirmed and not yet done.")
    if lot.candle_id != line.candle_id or lot.grade != taker.grade:
        raise ValidationError(f"{lot.code} does not fill this line: another candle or another grade.")
    if pairs > open_pairs(line):
        raise ValidationError({"pairs": f"Only {open_pairs(line)} pairs of this line are open."})


def mark_packed(parts: Iterable[tuple[SetAside, int]]) -> None:
    """So many pairs of each promise now lie in a box. The caller holds the lock of the order."""
    packed = []
    for promise, pairs in parts:
        if not 0 < pairs <= promise.pairs - promise.packed:
            raise ValidationError(f"Only {promise.pairs - promise.packed} pairs are set aside and not yet packed.")
        promise.packed += pairs
        packed.append(promise)
    update_rows(packed, ["packed"])


def unmark_packed(parts: Iterable[tuple[SetAside, int]]) -> None:
    """So many pairs of each promise are out of the box again. The caller holds the lock of the order."""
    unpacked = []
    for promise, pairs in parts:
        if not 0 < pairs <= promise.packed:
            raise ValidationError(f"Only {promise.packed} pairs are packed.")
        promise.packed -= pairs
        unpacked.append(promise)
    update_rows(unpacked, ["packed"])


@transaction.atomic
def send_promises(
    *, lines: list[tuple[SetAside, int]], reference: str, by, locked: Locked | None = None
) -> list[Movement]:
    """Packed pairs leave the house: one movement for each (promise, pairs), in the order given.

    `locked`: their orders, where the caller has locked them already. Lots, lines and promises go down together; an
    order with nothing left to send is done. ValidationError where fewer pairs are packed, or a promise is named twice.
    """
    locked = locked or lock_orders({promise.line.order_id for promise, _ in lines})
    lots = lock_lots(promise.lot_id for promise, _ in lines)
    parts, sent = [], defaultdict(int)
    for given, pairs in lines:
        promise = locked.promises.get(given.pk)
        if promise is None or not 0 < pairs <= promise.packed:
            raise ValidationError(f"Only {promise.packed if promise else 0} pairs are packed, not {pairs}.")
        line = promise.line
        promise.packed -= pairs
        line.set_aside -= pairs
        line.sent += pairs
        sent[line.order_id] += pairs
        parts.append((promise, pairs))
    movements = send_pairs([(lots[promise.lot_id], pairs) for promise, pairs in parts], reference=reference, by=by)
    shrink_promises(locked, parts)
    update_rows({promise.line.pk: promise.line for promise, _ in parts}.values(), ["set_aside", "sent"])
    its = locked.lines_by_order()
    done = [order.pk for order in locked.orders.values() if finish_if_sent(order, its[order.pk])]
    sync_lines(locked.lines.values())
    for order in locked.orders.values():
        is_done = "; all is sent, the order is done" if order.pk in done else ""
        what = f"Sent {sent[order.pk]} pairs with {reference}{is_done}"
        record(subject="order", subject_id=order.pk, what=what, by=by)
    return movements
