"""What may change after an order is confirmed: pairs of a line, a line more, the header, and calling it off.

Each is one transaction and goes on record. Locks as everywhere: order, line, want, lot.
"""

from datetime import date

from django.core.exceptions import ValidationError
from django.db import transaction

from inventory.domain.lots import lock_lots
from inventory.domain.records import record
from inventory.domain.rows import update_rows
from inventory.domain.versions import check_version
from inventory.models import FIRSTS, Candle
from orders.domain.holding import Locked, drop_pairs, finish_if_sent, lock_orders, refuse_in_box, sync_lines
from orders.domain.order_checks import (
    check_address,
    check_amounts,
    check_candles,
    check_pairs,
    check_priced,
    check_reference,
    check_ship_by,
)
from orders.domain.pricing import break_again, price_of, put_price
from orders.domain.seconds_selling import put_boxes_back
from orders.models import Address, Order, OrderLine
from orders.models.delivery import PACKED, PACKING
from orders.models.order import CANCELLED, CONFIRMED, DONE, DRAFT


@transaction.atomic
def change_pairs(*, line: OrderLine, pairs: int, version: int, by) -> OrderLine:
    """Order `pairs` of this line instead; 0 strikes it out. Pairs set aside beyond them are free again, newest lot
    first. Refused below what is sent or lies in a box. `version` is the order's.
    """
    locked, order = _lock(line.order_id, version)
    line = locked.lines[line.pk]
    refuse_in_box(line)
    check_pairs(pairs, least=0)
    before = line.pairs
    if pairs == before:
        return line
    others = [other for other in locked.lines.values() if other.pk != line.pk]
    if pairs == 0 and not any(other.pairs for other in others):
        raise ValidationError({"pairs": "It is the only line left: cancel the order instead."})
    promises = locked.promises_of(line)
    fixed = line.sent + sum(promise.packed for promise in promises)
    if pairs < fixed:
        raise ValidationError({"pairs": f"{fixed} pairs of it are sent or packed: not below {fixed}."})
    line.pairs = pairs
    priced = _break_again(locked, line)
    check_amounts(order, [(one.candle, one.pairs, one.price) for one in locked.lines.values()])
    # What stood here told of the old pairs; the next setting aside writes its own reason.
    line.why = f"{pairs:,} ordered now instead of {before:,}"
    _free_surplus(locked, [line])
    _close(locked, order, f"{line.candle.code}: {pairs:,} pairs instead of {before:,}.{priced}", by)
    return line


@transaction.atomic
def add_line(*, order: Order, candle: Candle, pairs: int, version: int, by) -> OrderLine:
    """One more line at today's price, under the order's own discount."""
    locked, order = _lock(order.pk, version)
    check_pairs(pairs)
    check_candles([candle])
    lines = list(locked.lines.values())
    if order.shop.currency != order.currency:
        raise ValidationError(
            f"This order is in {order.currency}, its shop now buys in {order.shop.currency}: a new "
            "order takes what is to be added."
        )
    # Box breaks count all pairs of a candle; a second costs what it costs by itself.
    same = [line for line in lines if line.candle_id == candle.pk and order.grade == FIRSTS]
    together = sum(line.pairs for line in same) + pairs
    line = OrderLine(order=order, position=max((line.position for line in lines), default=0) + 1, candle=candle)
    line.pairs = pairs
    put_price(line, price_of(candle, order.shop, order.grade, together))
    check_priced(order.currency, [(candle, line.price)])
    check_amounts(order, [(one.candle, one.pairs, one.price) for one in (*lines, line)])
    line.save()
    locked.lines[line.pk] = line
    _close(locked, order, f"Added: {pairs:,} pairs of {candle.code}.", by)
    return line


@transaction.atomic
def change_header(
    *, order: Order, reference: str, ship_by: date, deliver_to: Address, notes: str, version: int, by
) -> Order:
    """Change reference, ship-by date, address and notes of a confirmed order; the wants on the dip list follow."""
    locked, order = _lock(order.pk, version)
    new = {"reference": reference.strip(), "ship_by": ship_by, "deliver_to": deliver_to, "notes": notes.strip()}
    before = {name: getattr(order, name) for name in new}
    if new == before:
        return order
    check_reference(new["reference"], order.shop)
    check_address(deliver_to, order.shop)
    # A date already past may stand while something else is put right; a new one must be ahead.
    if ship_by != before["ship_by"]:
        check_ship_by(ship_by)
    for name, value in new.items():
        setattr(order, name, value)
    order.full_clean(exclude=["shop", "made_by"], validate_constraints=False)
    order.save(update_fields=list(new))
    words = {"reference": "their reference", "ship_by": "ship by", "deliver_to": "deliver to", "notes": "notes"}
    changed = [
        f"{words[name]} {new[name] or 'nothing'}, was {before[name] or 'nothing'}"
        for name in new
        if new[name] != before[name]
    ]
    _close(locked, order, f"Changed: {'; '.join(changed)}.", by)
    return order


@transaction.atomic
def cancel_order(*, order: Order, version: int, reason: str, by) -> Order:
    """Call the order off: all pairs set aside are free, nothing stays on the dip list. Cancelled already: nothing.

    Where pairs have left, only the rest is called off: lines shrink to what was sent and the order is done.
    Refused while boxes are being packed or stand packed: unpack them first.
    """
    now = Order.objects.select_for_update().get(pk=order.pk)
    if now.status == CANCELLED:
        return now
    locked, order = _lock(order.pk, version)
    if not reason.strip():
        raise ValidationError({"reason": "Why is it called off? A word is enough."})
    waiting = order.deliveries.filter(state__in=(PACKING, PACKED)).first()
    if waiting:
        raise ValidationError(f"{waiting}: boxes of it stand on the packing bench. Unpack them first.")
    lines = list(locked.lines.values())
    part_sent = any(line.sent for line in lines)
    ordered = {line.pk: line.pairs for line in lines}
    put_boxes_back(locked, order, by)
    for line in lines:
        line.pairs = line.sent
    _free_surplus(locked, lines)
    if not part_sent:
        # Nothing left: the order keeps what it asked for, so that its page still tells the story.
        for line in lines:
            line.pairs = ordered[line.pk]
        update_rows(lines, ["pairs"])
    order.status = DONE if part_sent else CANCELLED
    order.save(update_fields=["status"])
    what = "What had not left is called off" if part_sent else "Cancelled"
    _close(locked, order, f"{what}: {reason.strip()}", by)
    return order


def _break_again(locked: Locked, changed: OrderLine) -> str:
    """The box break of all lines of the changed one's candle, for the pairs they now order; what changed, in words.

    Once pairs of the candle have left, its price stays: they may be on an invoice by now.
    """
    same = [line for line in locked.lines.values() if line.candle_id == changed.candle_id]
    if any(line.sent for line in same):
        return ""
    together = sum(line.pairs for line in same)
    said = [f" {line.price_from}: {line.price} a pair." for line in same if break_again(line, together)]
    update_rows(same, ["price", "price_from"])
    return said[0] if said else ""


def _lock(order_id: int, version: int) -> tuple[Locked, Order]:
    locked = lock_orders([order_id])
    order = locked.orders[order_id]
    if order.status != CONFIRMED:
        how = "still a draft: change it on its own page" if order.status == DRAFT else order.status
        raise ValidationError(f"Order {order.number} is {how}.")
    check_version(order, version)
    return locked, order


def _free_surplus(locked: Locked, lines: list[OrderLine]) -> None:
    """Give back unpacked pairs set aside beyond what the lines now order, and write the lines.

    The newest lot goes back first: the oldest still goes out first. All lots are locked at once, by key.
    """
    promises = {line.pk: [p for p in locked.promises_of(line) if p.pairs > p.packed] for line in lines}
    lots = lock_lots(promise.lot_id for its in promises.values() for promise in its)
    for line in lines:
        newest_first = sorted(promises[line.pk], key=lambda x: (lots[x.lot_id].made_on, x.lot_id), reverse=True)
        for promise in newest_first:
            pairs = min(line.sent + line.set_aside - line.pairs, promise.pairs - promise.packed)
            if pairs > 0:
                drop_pairs(locked, lots[promise.lot_id], promise, pairs)
    update_rows(lines, ["pairs", "set_aside", "why"])


def _close(locked: Locked, order: Order, what: str, by) -> None:
    """What every change ends with: wants, state, version and the record."""
    sync_lines(locked.lines_of(order))
    finish_if_sent(order, locked.lines_of(order))
    order.version += 1
    order.save(update_fields=["version"])
    record(subject="order", subject_id=order.pk, what=what, by=by)
