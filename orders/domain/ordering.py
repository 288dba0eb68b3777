"""An order from the first key to the confirmation. What may change afterwards is in changing.py.

A draft is kept as it is typed: every save replaces its rows and raises its version. Locks: order, then its lines.
"""

import uuid
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from inventory.domain.records import record
from inventory.domain.rows import update_rows
from inventory.domain.versions import check_version
from inventory.models import FIRSTS, SECONDS, Candle, Record
from orders.domain.holding import lock_orders
from orders.domain.numbers import take_number
from orders.domain.order_checks import check_all, check_amounts, check_order_discount, check_pairs, check_shop
from orders.domain.pricing import put_prices
from orders.domain.seconds_selling import check_currency_of_boxes, promise_boxes, put_boxes_back
from orders.domain.setting_aside import sync_wants
from orders.models import Order, OrderLine, Series, Shop
from orders.models.order import CANCELLED, CONFIRMED, DRAFT
from orders.queries.earlier_orders import sensible_ship_by

MOST_ROWS = 400  # the longest order of real wholesale data had 541 lines, one in a thousand over 200
HEADER = ("reference", "ship_by", "deliver_to", "notes", "order_discount", "order_discount_reason")
PRICE_FIELDS = ("price", "price_from", "list_price", "price_list", "takes_discount")
# A shop's terms that an order freezes when it is confirmed.
TERMS = (
    "currency",
    "discount",
    "minimum_order",
    "carriage",
    "carriage_by",
    "carriage_kilos",
    "carriage_free_above",
    "complete_only",
)


@dataclass(frozen=True)
class Row:
    """One understood row of a draft: whole pairs of a candle."""

    candle: Candle
    pairs: int


@transaction.atomic
def start_draft(*, shop: Shop, submission: uuid.UUID, by, grade: str = FIRSTS) -> Order:
    """A new, empty draft with a number; the same submission for the same shop and grade gives the same draft.

    A page taken from the browser's memory and sent for another shop keeps its submission: that is another order.
    """
    check_shop(shop)
    if grade not in (FIRSTS, SECONDS):
        raise ValidationError({"grade": "Firsts or seconds."})
    # Whoever starts a draft waits here, so the second copy of a submission finds the first one's draft.
    Series.objects.select_for_update().get(name="order")
    made = Order.objects.filter(submission=submission).first()
    if made and (made.shop_id, made.grade) != (shop.pk, grade):
        submission = uuid.uuid5(submission, f"{shop.pk} {grade}")
        made = Order.objects.filter(submission=submission).first()
    if made:
        return made
    number, _ = take_number("order")
    order = Order.objects.create(
        number=number,
        shop=shop,
        grade=grade,
        currency=shop.currency,
        deliver_to=shop.addresses.filter(kind="delivery").order_by("-usual", "label").first(),
        ship_by=sensible_ship_by(timezone.localdate()),
        placed_on=timezone.localdate(),
        made_by=by,
        submission=submission,
    )
    record(subject="order", subject_id=order.pk, what=f"Draft begun for {shop.name}, {grade}.", by=by)
    return order


@transaction.atomic
def save_draft(
    *, order: Order, version: int, header: dict, rows: Sequence[Row], by, unread: Iterable[dict] = ()
) -> Order:
    """Keep the draft as it now stands on the page: header (any of HEADER), understood rows, rows still unread.

    The same content sent again is no change, whatever version it came from: an answer lost on the way does no harm.
    StaleVersion where somebody else saved in between; ValidationError for a row or an amount that cannot be kept.
    """
    order = lock_order(order)
    unread = list(unread)
    if order.status == DRAFT and _is_as_kept(order, header, rows, unread):
        return order
    check_is_draft(order)
    check_version(order, version)
    _check_rows(rows, unread)
    lines = [OrderLine(order=order, position=n, candle=row.candle, pairs=row.pairs) for n, row in enumerate(rows, 1)]
    put_prices(order, lines, timezone.localdate())
    boxed = list(order.lines.exclude(seconds_box=None).select_related("candle__wax"))
    check_amounts(order, [(line.candle, line.pairs, line.price) for line in (*lines, *boxed)])
    for name, value in header.items():
        if name not in HEADER:
            raise ValueError(f"not a field of a draft's header: {name}")
        setattr(order, name, value)
    check_order_discount(order.order_discount, order.order_discount_reason)
    order.unread = unread
    order.version += 1
    order.full_clean(exclude=["made_by", "shop", "number", "submission"], validate_constraints=False)
    order.save()
    _write_lines(order, lines)
    for place, line in enumerate(boxed, start=len(lines) + 1):
        line.position = place
    update_rows(boxed, ["position"])
    _record_new_hand(order, by)
    return order


@transaction.atomic
def confirm_order(*, order: Order, version: int, by) -> Order:
    """Take the order: terms and prices are frozen as they stand today, and what stock lacks goes on the dip list.

    Confirmed already: nothing happens. ValidationError (every fault at once, by field) for what is missing.
    A shop on stop may order; it is the packing that refuses.
    """
    order = lock_order(order)
    if order.status == CONFIRMED:
        return order
    check_is_draft(order)
    check_version(order, version)
    lines = list(order.lines.select_related("candle__wax"))
    single = [line for line in lines if not line.seconds_box_id]
    update_rows(put_prices(order, single, timezone.localdate()), PRICE_FIELDS)
    check_currency_of_boxes(order)
    check_all(order, lines)
    freeze_terms(order)
    order.status, order.confirmed_at = CONFIRMED, timezone.now()
    # An order is as old as its confirmation: a draft left lying does not jump the queue for stock.
    order.placed_on = timezone.localdate()
    order.version += 1
    order.save()
    promise_boxes(order, by)
    pairs = sum(line.pairs for line in lines)
    record(
        subject="order",
        subject_id=order.pk,
        what=f"Confirmed: {pairs:,} pairs by {order.ship_by.day} {order.ship_by:%B}.",
        by=by,
    )
    sync_wants(order)
    return order


@transaction.atomic
def discard_draft(*, order: Order, version: int, by) -> Order:
    """Put a draft away. Its number is kept as cancelled, with its rows; discarded already: nothing happens."""
    order = lock_order(order)
    if order.status == CANCELLED:
        return order
    check_is_draft(order)
    check_version(order, version)
    _put_boxes_back(order, by)
    order.status = CANCELLED
    order.version += 1
    order.save(update_fields=["status", "version"])
    record(subject="order", subject_id=order.pk, what="Draft discarded.", by=by)
    return order


def lock_order(order: Order) -> Order:
    """The order's row, locked and read afresh, its shop beside it. Needs a transaction."""
    return Order.objects.select_for_update(of=("self",)).select_related("shop", "deliver_to").get(pk=order.pk)


def check_is_draft(order: Order) -> None:
    if order.status != DRAFT:
        raise ValidationError(f"Order {order.number} is {order.status}; it is no longer a draft.")


def freeze_terms(order: Order) -> None:
    """Copy the shop's terms of today into the order."""
    for name in TERMS:
        setattr(order, name, getattr(order.shop, name))


def _write_lines(order: Order, lines: list[OrderLine]) -> None:
    """The draft has these lines now. Rows that are there are written over: with every row typed all are sent."""
    there = list(order.lines.filter(seconds_box=None).values_list("pk", flat=True))
    for pk, line in zip(there, lines, strict=False):
        line.pk = pk
    update_rows(lines[: len(there)], ["position", "candle", "pairs", *PRICE_FIELDS])
    OrderLine.objects.bulk_create(lines[len(there) :])
    if gone := there[len(lines) :]:
        OrderLine.objects.filter(pk__in=gone).delete()


def _check_rows(rows: Sequence[Row], unread: list[dict]) -> None:
    if len(rows) + len(unread) > MOST_ROWS:
        raise ValidationError({"rows": f"At most {MOST_ROWS} rows in one order: split it."})
    for row in rows:
        check_pairs(row.pairs)


def _is_as_kept(order: Order, header: dict, rows: Sequence[Row], unread: list[dict]) -> bool:
    kept = list(order.lines.filter(seconds_box=None).values_list("candle_id", "pairs"))
    return (
        kept == [(row.candle.pk, row.pairs) for row in rows]
        and order.unread == unread
        and all(getattr(order, name) == value for name, value in header.items())
    )


def _put_boxes_back(order: Order, by) -> None:
    """Boxes of seconds stand on the shelf again; the rows keep what was asked."""
    if not order.seconds_boxes.exists():
        return
    locked = lock_orders([order.pk])
    asked = {line.pk: line.pairs for line in locked.lines.values()}
    put_boxes_back(locked, order, by)
    for line in locked.lines.values():
        line.pairs = asked[line.pk]
    update_rows(locked.lines.values(), ["pairs"])


def _record_new_hand(order: Order, by) -> None:
    """Not every keystroke goes on record, but a draft that passes from one hand to another does."""
    last = Record.objects.filter(subject="order", subject_id=order.pk).first()
    if last is None or last.person_id != by.pk:
        record(subject="order", subject_id=order.pk, what="Draft changed.", by=by)
