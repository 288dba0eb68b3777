"""Boxes of seconds on an order: taken off the shelf into a draft, promised when it is confirmed, put back whole.

A box's price is frozen when it is taken and spread over lines of its candles to the penny. Its pairs stay counted in
their lots all the while: held for the box, then, once the order is confirmed, set aside for its lines. Such lines are
never open and never changed singly.
"""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from inventory.domain.records import record
from inventory.domain.rows import update_rows
from inventory.domain.versions import check_version
from inventory.words import counted
from orders.domain.holding import Locked, finish_if_sent, grow_version, lock_orders
from orders.domain.pricing import book_of_prices
from orders.domain.seconds_boxes import lock_boxes, put_state, tell, why_gone
from orders.domain.seconds_pricing import boxes_with_contents, check_priced_box, contents_of, price_box
from orders.models import Order, OrderLine, SecondsBox, SetAside
from orders.models.order import CONFIRMED, DRAFT
from orders.models.seconds_box import ON_SHELF, SOLD
from orders.money import in_pounds
from orders.prices import Price, PriceBook
from orders.seconds_prices import worth_in_box
from orders.spread import Part, Share, deal_lots, spread_price


def take_boxes(order: Order, ids: Iterable[int], by) -> None:
    """Put whole boxes on a draft of seconds, locked by the caller. ValidationError names a box that is gone."""
    boxes, ids = lock_boxes(ids), set(ids)
    if ids - set(boxes):
        raise ValidationError({"boxes": "There is no such box."})
    gone = [why_gone(box) for box in boxes.values() if box.state != ON_SHELF]
    if gone:
        raise ValidationError({"boxes": gone})
    today = timezone.localdate()
    book = book_of_prices(order.shop, today)
    place = order.lines.count()
    for box in boxes_with_contents(SecondsBox.objects.filter(pk__in=ids)):
        price = price_box(book, box, today, order.shop.discount)
        check_priced_box(box, price)
        lines = _lines(order, box, price, book, today)
        for line in lines:
            place += 1
            line.position = place
        OrderLine.objects.bulk_create(lines)
        put_state(boxes[box.pk], SOLD, order)
        at = f"{in_pounds(price.price)} {order.currency}: {price.words}"
        tell(box, f"On order {order.number} for {order.shop.name}, {at}", by)


def _lines(order: Order, box: SecondsBox, price: Price, book: PriceBook, day: date) -> list[OrderLine]:
    worths = worth_in_box(book, contents_of(box, day))
    rows = box.contents.all()
    candles, pairs, worth = {}, {}, {}
    for row, one in zip(rows, worths, strict=True):
        key = row.lot.candle_id
        candles[key] = row.lot.candle
        pairs[key] = pairs.get(key, 0) + row.pairs
        # A box with a price of its own may hold what has no price in this book: then by weight.
        exact = one.price if all(each.known for each in worths) else row.lot.candle.grams_a_pair
        worth[key] = worth.get(key, Decimal(0)) + exact * row.pairs
    shares = spread_price(price.price, [Part(key, pairs[key], worth[key] / pairs[key]) for key in candles])
    words = f"part of box {box.code} at {price.price:,.2f}"
    return [
        OrderLine(
            order=order, candle=candles[share.key], pairs=share.pairs, price=share.price, price_from=words,
            takes_discount=False, seconds_box=box,
        )
        for share in shares
    ]  # fmt: skip


def promise_boxes(order: Order, by) -> None:
    """The order, locked, has just been confirmed: what lies in its boxes is set aside for their lines, lot by lot."""
    now, promises, lines = timezone.now(), [], []
    for box in order.seconds_boxes.prefetch_related("contents__lot").order_by("pk"):
        its = list(order.lines.filter(seconds_box=box))
        lots: dict[int, list[tuple[int, int]]] = {}
        for one in box.contents.all():
            lots.setdefault(one.lot.candle_id, []).append((one.lot_id, one.pairs))
        shares = [Share(line.candle_id, line.pairs, line.price) for line in its]
        for line, (_, takes) in zip(its, deal_lots(shares, lots), strict=True):
            promises += [SetAside(line=line, lot_id=lot, pairs=pairs, at=now, by=by) for lot, pairs in takes]
            line.set_aside, line.why = line.pairs, f"in box {box.code}"
            lines.append(line)
    SetAside.objects.bulk_create(promises)
    update_rows(lines, ["set_aside", "why"])


def check_currency_of_boxes(order: Order) -> None:
    """A box was priced in the currency of the day it was taken; ValidationError where the shop has another now."""
    if order.currency != order.shop.currency and order.seconds_boxes.exists():
        raise ValidationError(
            {
                "rows": f"Its boxes were priced in {order.currency}, the shop now buys in {order.shop.currency}: take "
                "them off and put them on a new order."
            }
        )


@transaction.atomic
def take_box_off(*, box: SecondsBox, version: int, by) -> SecondsBox:
    """The box stands on the shelf again; its lines leave the draft, or are struck out of the confirmed order.

    `version` is the box's. ValidationError where it is packed or gone, or all that the order still holds.
    """
    order_id = SecondsBox.objects.values_list("order", flat=True).get(pk=box.pk)
    if order_id is None:
        raise ValidationError(f"{box.code} is on no order.")
    locked = lock_orders([order_id])
    order = locked.orders[order_id]
    box = lock_boxes([box.pk])[box.pk]
    check_version(box, version)
    if box.order_id != order_id:
        raise ValidationError(why_gone(box))
    if order.status == CONFIRMED and not any(line.pairs for line in locked.lines.values() if not _in(line, box)):
        raise ValidationError(f"It is all that order {order.number} holds: call the order off instead.")
    put_box_back(locked, order, box, by)
    if order.status == DRAFT:
        OrderLine.objects.filter(pk__in=[line.pk for line in locked.lines.values() if _in(line, box)]).delete()
    finish_if_sent(order, locked.lines_of(order))
    grow_version(order)
    record(
        subject="order", subject_id=order.pk, what=f"Box {box.code} taken off; it stands on the shelf again.", by=by
    )
    return box


def put_boxes_back(locked: Locked, order: Order, by) -> None:
    """Every box of the order that has not left stands on the shelf again, its lines struck out and saved."""
    boxes = lock_boxes(order.seconds_boxes.values_list("pk", flat=True))
    back = [box for box in boxes.values() if not any(line.sent for line in locked.lines.values() if _in(line, box))]
    for box in back:
        put_box_back(locked, order, box, by)
    if back:
        what = f"{counted(len(back), 'box', 'boxes')} of seconds put back: {', '.join(box.code for box in back)}"
        record(subject="order", subject_id=order.pk, what=what, by=by)


def put_box_back(locked: Locked, order: Order, box: SecondsBox, by) -> None:
    """One locked box back on the shelf: its pairs are held for it, not for lines. ValidationError once packed."""
    lines = [line for line in locked.lines.values() if _in(line, box)]
    promises = [promise for promise in locked.promises.values() if _in(promise.line, box)]
    if any(line.sent for line in lines):
        raise ValidationError(f"{box.code} has left with order {order.number}.")
    if any(promise.packed for promise in promises):
        raise ValidationError(f"{box.code} stands packed on the bench: unpack the delivery first.")
    SetAside.objects.filter(pk__in=[promise.pk for promise in promises]).delete()
    for promise in promises:
        del locked.promises[promise.pk]
    for line in lines:
        line.set_aside, line.pairs, line.why = 0, 0, f"box {box.code} was put back on the shelf"
    update_rows(lines, ["pairs", "set_aside", "why"])
    put_state(box, ON_SHELF)
    tell(box, f"Back on the shelf from order {order.number}", by)


def _in(line: OrderLine, box: SecondsBox) -> bool:
    return line.seconds_box_id == box.pk
