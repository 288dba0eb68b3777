"""Promising a day: the owner's word to a shop, on record with what it rested on. Locks: order, line, want."""

from datetime import date

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from inventory.domain.records import record
from inventory.domain.versions import check_version
from inventory.words import counted
from inventory.words import day as in_words
from orders.domain.holding import grow_version, lock_orders, sync_lines
from orders.domain.order_checks import furthest_day
from orders.models import Order, PromisedDate
from orders.models.order import CONFIRMED
from orders.queries.ready_by import OrderReady, ready_by_order


@transaction.atomic
def promise_date(*, order: Order, day: date, by, version: int | None = None) -> PromisedDate:
    """The owner says: by this day. It becomes the order's ship-by date, which dip list and plan go by.

    What the book itself would have promised, and what that rests on, is kept beside it; an earlier day is taken all
    the same. The day promised last promised again is no new promise. ValidationError for an order that is not
    confirmed, a day that is past or too far ahead; StaleVersion where the order changed meanwhile (`version` None asks
    for no check).
    """
    locked = lock_orders([order.pk])
    order = locked.orders[order.pk]
    if order.status != CONFIRMED:
        raise ValidationError(f"Order {order.number} is {order.status}: a day is promised for confirmed orders only.")
    latest = order.promised_dates.first()
    if latest and latest.day == day == order.ship_by:
        return latest
    if version is not None:
        check_version(order, version)
    _check_day(day)
    found, before = ready_by_order(order), order.ship_by
    row = PromisedDate.objects.create(
        order=order,
        day=day,
        earliest=found.whole.day,
        chance=None if found.whole.chance is None else round(found.whole.chance, 3),
        rested_on=rested_on(found),
        made_at=timezone.now(),
        made_by=by,
    )
    order.ship_by = day
    order.save(update_fields=["ship_by"])
    grow_version(order)
    sync_lines(locked.lines_of(order))
    moved = f" Ship by was {in_words(before)}." if before != day else ""
    record(
        subject="order", subject_id=order.pk, what=f"Promised by {in_words(day)}.{moved} {warning(row)}".strip(), by=by
    )
    return row


def _check_day(day: date) -> None:
    today = timezone.localdate()
    if day < today:
        raise ValidationError({"day": f"{in_words(day)} is past. The earliest is today."})
    if day > furthest_day(today):
        raise ValidationError({"day": f"Too far ahead: at the latest {in_words(furthest_day(today))}."})


def rested_on(found: OrderReady) -> list[dict]:
    """A row a line, in plain values that both databases give back as they were."""
    return [
        {
            "line": row.line.pk,
            "candle": row.line.candle.code,
            "pairs": row.line.pairs,
            "stock": row.stock,
            "floor": row.floor,
            "plan": row.asked,
            "ready": row.ready.day.isoformat() if row.ready.day else None,
            "chance": None if row.ready.chance is None else f"{row.ready.chance:.3f}",
            "binds": row.ready.why,
        }
        for row in found.lines
    ]


def warning(row: PromisedDate) -> str:
    """What the book has to say against the day; "" where it would have promised it itself."""
    if row.earliest is None:
        why = next((each["binds"] for each in row.rested_on if each["ready"] is None), "nobody knows")
        return f"The book itself can promise no day: {why}."
    if row.day >= row.earliest:
        return ""
    days = counted((row.earliest - row.day).days, "day")
    why = max((each for each in row.rested_on if each["ready"]), key=lambda each: each["ready"])["binds"]
    return f"That is {days} before the book's own day, {in_words(row.earliest)}{f': {why}' if why else ''}."
