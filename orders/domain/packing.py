"""From pairs set aside to boxes, to papers, to the van; and back out of the boxes until the van has left.

Locks: order, lines, wants (lock_orders), then the delivery, then lots. Papers are issued late, so that the series'
row is held for as short as can be; material lots are locked after all else.
"""

from collections import Counter
from datetime import date, timedelta

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from inventory.domain.records import record
from inventory.domain.rows import update_rows
from inventory.domain.versions import check_version
from inventory.words import counted, day, in_pairs
from orders.documents.delivery_note import note_content
from orders.documents.packing_slip import slip_content
from orders.domain.bags import pack_bags, send_bags, unpack_bags
from orders.domain.box_use import draw_boxes, put_boxes_back
from orders.domain.boxing import boxes_of, grow_version, lines_of, lock_delivery, propose_boxes, refuse_overfull
from orders.domain.holding import Locked, lock_orders
from orders.domain.papers import cancel_paper, issue_numbered, issue_paper
from orders.domain.releasing import mark_packed, send_promises, unmark_packed
from orders.models import Delivery, DeliveryLine, Order
from orders.models.delivery import LEFT, PACKED, PACKING, UNPACKED
from orders.models.paper import DELIVERY_NOTE, PACKING_SLIP
from orders.packable import why_not_packed, why_not_sent
from orders.queries.credit import over_limit
from orders.queries.packing import next_van_day
from orders.van_days import FARTHEST


@transaction.atomic
def start_packing(*, order: Order, by, van_day: date | None = None) -> Delivery:
    """Take all pairs set aside and not yet packed, and propose boxes for them.

    `van_day` None: the last van that keeps the ship-by date. Started twice by one person it is one delivery;
    a second person is told who is at it. ValidationError with the reason where the order cannot be packed.
    """
    locked = lock_orders([order.pk])
    order = locked.orders[order.pk]
    current = Delivery.objects.filter(order=order, state=PACKING).select_related("started_by").first()
    if current and current.started_by_id == by.pk:
        return current
    if current:
        since = timezone.localtime(current.started_at)
        raise ValidationError(f"{current.started_by} is packing order {order.number} since {since:%H:%M}.")
    takes = [promise for promise in locked.promises.values() if promise.pairs > promise.packed]
    ready = sum(promise.pairs - promise.packed for promise in takes)
    if why := why_not_packed(order, ready=ready, owed=_owed(locked), over_limit=over_limit(order.shop)):
        raise ValidationError(why)
    delivery = Delivery.objects.create(
        order=order,
        van_day=_checked_van_day(van_day or next_van_day(order.ship_by)),
        started_at=timezone.now(),
        started_by=by,
    )
    DeliveryLine.objects.bulk_create(
        DeliveryLine(delivery=delivery, line=promise.line, lot_id=promise.lot_id, pairs=promise.pairs - promise.packed)
        for promise in takes
    )
    mark_packed((promise, promise.pairs - promise.packed) for promise in takes)
    propose_boxes(delivery, lines_of(delivery))
    pack_bags(delivery)
    _record(delivery, f"Packing started: {in_pairs(ready)} in {_boxes(delivery)}", by)
    return delivery


def _owed(locked: Locked) -> int:
    """Pairs of the (one) locked order that are ordered and neither sent nor in an earlier box."""
    packed = sum(promise.packed for promise in locked.promises.values())
    return sum(line.pairs - line.sent for line in locked.lines.values()) - packed


def _checked_van_day(van_day: date) -> date:
    today = timezone.localdate()
    if not today <= van_day <= today + timedelta(days=FARTHEST):
        raise ValidationError({"van_day": f"From today on, and at most {FARTHEST} days ahead."})
    return van_day


@transaction.atomic
def close_boxes(*, delivery: Delivery, version: int, by) -> Delivery:
    """Close the boxes: the note takes its number, and it and a slip a box are frozen. Nothing has been sent yet.

    Closed twice by one person it is one note; a second person is told. ValidationError with the reason where the
    order may not be sent any more, or a box is overfull.
    """
    delivery, locked = lock_delivery(delivery)
    if delivery.state == PACKED and delivery.note.issued_by_id == by.pk:
        return delivery
    if delivery.state != PACKING:
        raise ValidationError(_told(delivery))
    check_version(delivery, version)
    lines = lines_of(delivery)
    boxes = boxes_of(delivery, lines)
    pairs = sum(line.pairs for line in lines)
    over = over_limit(delivery.order.shop)
    if why := why_not_packed(delivery.order, ready=pairs, owed=_owed(locked) + pairs, over_limit=over):
        raise ValidationError(why)
    _refuse_unboxed(lines, boxes)
    refuse_overfull(boxes)
    _issue_papers(delivery, locked, lines, boxes, by)
    delivery.state, delivery.closed_at = PACKED, timezone.now()
    grow_version(delivery, "state", "closed_at", "note")
    _record(delivery, f"{delivery.note.number}: {in_pairs(pairs)} packed in {counted(len(boxes), 'box', 'boxes')}", by)
    draw_boxes(boxes, by=by)
    return delivery


def _refuse_unboxed(lines: list[DeliveryLine], boxes) -> None:
    boxed = Counter()
    for box in boxes:
        for content in box.contents.all():
            boxed[content.delivery_line_id] += content.pairs
    for line in lines:
        if boxed[line.pk] != line.pairs:
            raise ValidationError(f"{line.pairs} pairs of {line.lot.code} go, but the boxes hold {boxed[line.pk]}.")


def _issue_papers(delivery: Delivery, locked: Locked, lines, boxes, by) -> None:
    today, shop = timezone.localdate(), delivery.order.shop
    owed = {line.pk: line.pairs - line.sent for line in locked.lines.values()}
    for promise in locked.promises.values():
        # What lies packed, here or in an earlier delivery, is not still to come.
        owed[promise.line_id] -= promise.packed
    content = note_content(delivery, lines=lines, boxes=boxes, order_lines=list(locked.lines.values()), to_come=owed)
    delivery.note = issue_paper(
        kind=DELIVERY_NOTE, shop=shop, content=content, issued_on=today, by=by, series=DELIVERY_NOTE
    )
    slips = [
        (f"{delivery.note.number}/{box.number}", slip_content(box, note=delivery.note.content, of=len(boxes)))
        for box in boxes
    ]
    issued = issue_numbered(kind=PACKING_SLIP, shop=shop, contents=slips, issued_on=today, by=by)
    for box, slip in zip(boxes, issued, strict=True):
        box.slip = slip
    update_rows(boxes, ["slip"])


@transaction.atomic
def unpack(*, delivery: Delivery, version: int, by, reason: str = "") -> Delivery:
    """Put everything back: the pairs stay set aside for the order, a note's number stays as cancelled.

    Closed boxes need a reason. Unpacked twice is once. ValidationError once the van has left.
    """
    delivery, locked = lock_delivery(delivery)
    if delivery.state == UNPACKED:
        return delivery
    if delivery.state == LEFT:
        raise ValidationError(_told(delivery))
    check_version(delivery, version)
    reason = reason.strip()
    if delivery.note and not reason:
        raise ValidationError({"reason": f"Say why: {delivery.note.number} will be kept as cancelled."})
    promises = {(promise.line_id, promise.lot_id): promise for promise in locked.promises.values()}
    unmark_packed((promises[line.line_id, line.lot_id], line.pairs) for line in delivery.lines.all())
    if delivery.note:
        slips = [box.slip for box in delivery.boxes.select_related("slip") if box.slip]
        for paper in [delivery.note, *slips]:
            cancel_paper(paper=paper, reason=reason, by=by)
    # Boxes of seconds may be packed again.
    delivery.boxes.update(seconds_box=None)
    delivery.state = UNPACKED
    grow_version(delivery, "state")
    kept = f"{delivery.note.number} kept as cancelled: {reason}" if delivery.note else reason
    _record(delivery, "Unpacked, everything put back" + (f". {kept}" if kept else ""), by)
    unpack_bags(delivery)
    put_boxes_back(delivery, by=by)
    return delivery


@transaction.atomic
def van_left(*, delivery: Delivery, version: int, on: date, by) -> Delivery:
    """The van has left with these boxes: the stock moves, and the day of removal is the basic tax point.

    `on`: no later than today, no earlier than the day the boxes were closed. Said twice for one day it is once.
    """
    delivery, locked = lock_delivery(delivery)
    if delivery.state == LEFT and delivery.left_on == on:
        return delivery
    if delivery.state != PACKED:
        raise ValidationError(_told(delivery))
    check_version(delivery, version)
    if why := why_not_sent(delivery.order):
        raise ValidationError(why)
    _check_day(delivery, on)
    promises = {(promise.line_id, promise.lot_id): promise for promise in locked.promises.values()}
    lines = list(delivery.lines.all())
    movements = send_promises(
        lines=[(promises[line.line_id, line.lot_id], line.pairs) for line in lines],
        reference=delivery.note.number,
        by=by,
        locked=locked,
    )
    for line, movement in zip(lines, movements, strict=True):
        line.movement = movement
    update_rows(lines, ["movement"])
    delivery.state, delivery.left_on = LEFT, on
    grow_version(delivery, "state", "left_on")
    record(subject="delivery", subject_id=delivery.pk, what=f"{delivery.note.number} left on {day(on)}", by=by)
    send_bags(delivery, by=by)
    return delivery


def _check_day(delivery: Delivery, on: date) -> None:
    closed = timezone.localtime(delivery.closed_at).date()
    _refuse_coming(on)
    if on < closed:
        raise ValidationError({"on": f"The boxes were closed on {day(closed)}; the van left then or later."})


def _refuse_coming(on: date) -> None:
    if on > timezone.localdate():
        raise ValidationError({"on": "The van cannot have left on a day that is yet to come."})


def van_day_left(*, van_day: date, on: date, by) -> tuple[list[Delivery], list[str]]:
    """All packed deliveries of a van day have left: those that went, and the reason for each that may not.

    Each delivery is a transaction of its own: one shop on stop does not hold the others up, and two vans' worth of
    rows are never locked at once. ValidationError where the day is yet to come.
    """
    _refuse_coming(on)
    gone, refused = [], []
    for delivery in Delivery.objects.filter(van_day=van_day, state=PACKED).order_by("closed_at", "pk"):
        try:
            gone.append(van_left(delivery=delivery, version=delivery.version, on=on, by=by))
        except ValidationError as error:
            refused.append(f"{delivery.note.number}: {' '.join(error.messages)}")
    return gone, refused


def _told(delivery: Delivery) -> str:
    if delivery.state == LEFT:
        return f"{delivery.note.number} left on {day(delivery.left_on)}: what has left can only come back as a return."
    if delivery.state == PACKED:
        at = timezone.localtime(delivery.closed_at)
        return f"{delivery.note.issued_by} closed these boxes at {at:%H:%M} as {delivery.note.number}."
    if delivery.state == UNPACKED:
        return "This delivery was unpacked: pack the order again."
    return "These boxes are not closed yet."


def _boxes(delivery: Delivery) -> str:
    return counted(delivery.boxes.count(), "box", "boxes")


def _record(delivery: Delivery, what: str, by) -> None:
    record(subject="delivery", subject_id=delivery.pk, what=what, by=by)
