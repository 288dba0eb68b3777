"""Boxes of seconds on the shelf: made up from lots, given a price, opened again. Selling them: seconds_selling.

Locks: order, line, want, box, lot, each by its key. While a box stands on the shelf its pairs count as set aside in
their lots, so nobody else can have them.
"""

from collections.abc import Iterable, Mapping
from decimal import Decimal
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from inventory.domain.lots import free_pairs, hold_pairs, lock_lots
from inventory.domain.records import record
from inventory.domain.versions import check_version
from inventory.models import SECONDS, Candle, Lot
from inventory.words import counted, in_pairs
from orders.domain.numbers import take_number
from orders.domain.seconds_pricing import reckoned_g
from orders.models import BoxKind, SecondsBox, SecondsBoxContent
from orders.models.seconds_box import BY_COUNT, BY_WEIGHT, ON_SHELF, OPENED, SOLD
from orders.money import in_pounds
from orders.seconds_prices import price_by_kilo
from orders.seconds_words import MOST_OFF_PERCENT, gone_to, in_kilos, off_by

SERIES, SUBJECT = "seconds box", "seconds box"
PENNY = Decimal("0.01")


@transaction.atomic
def make_up_box(
    *,
    contents: Mapping[int, int],
    kind: BoxKind,
    sold_by: str,
    weight_g: int | None,
    price: Decimal | None,
    sure: bool,
    submission: UUID,
    by,
    kilo: Decimal | None = None,
) -> SecondsBox:
    """Put pairs of lots of seconds (by key) together under one code; from now on they go together.

    `weight_g`: what the scales say, without the box; needed where it is sold by weight, else reckoned. `sure`: the
    scales are right though the sum says otherwise. `price`: GBP without VAT, or `kilo` for its weight; neither: by the
    rule. The same submission again gives the box it made. ValidationError by field; what is wrong with a lot stands
    under its code.
    """
    lots = lock_lots(contents)
    if done := SecondsBox.objects.filter(submission=submission).first():
        return done
    _check_contents(contents, lots)
    candles = {candle.pk: candle for candle in Candle.objects.filter(lots__in=lots).select_related("wax")}
    reckoned = reckoned_g((candles[lots[key].candle_id], pairs) for key, pairs in contents.items())
    weight_g = _checked_weight(weight_g, reckoned, sold_by, sure)
    _check_kind(kind, weight_g)
    pairs = sum(contents.values())
    price = price_by_kilo(weight_g, kilo) if kilo else price
    check_box_price(price, pairs)
    hold_pairs((lots[key], contents[key]) for key in sorted(contents))
    _, code = take_number(SERIES)
    box = SecondsBox(code=code, kind=kind, sold_by=sold_by, weight_g=weight_g, price=price, submission=submission)
    _write_new(box, contents, by)
    what = f"{code} made up: {in_pairs(pairs)} of {counted(len(lots), 'lot')}, {in_kilos(weight_g)}"
    tell(box, f"{what}, {in_pounds(price)}" if price else what, by)
    return box


def _write_new(box: SecondsBox, contents: Mapping[int, int], by) -> None:
    box.made_up_on, box.made_up_by = timezone.localdate(), by
    box.save(force_insert=True)
    SecondsBoxContent.objects.bulk_create(
        SecondsBoxContent(box=box, lot_id=key, pairs=contents[key]) for key in sorted(contents)
    )


def _check_contents(contents: Mapping[int, int], lots: Mapping[int, Lot]) -> None:
    if not contents:
        raise ValidationError({"contents": "Type the pairs of at least one lot."})
    faults = {}
    for key, pairs in contents.items():
        lot = lots.get(key)
        if lot is None or lot.grade != SECONDS:
            raise ValidationError({"contents": "Only lots of seconds go into such a box."})
        if not 0 < pairs <= lot.free:
            faults[lot.code] = f"Only {lot.free} are free." if lot.free else "None is free any more."
    if faults:
        raise ValidationError(faults)


def _checked_weight(weight_g: int | None, reckoned: Decimal, sold_by: str, sure: bool) -> int:
    if sold_by not in (BY_COUNT, BY_WEIGHT):
        raise ValidationError({"sold_by": "By count or by weight."})
    if weight_g is None:
        if sold_by == BY_WEIGHT:
            raise ValidationError({"weight": "What do the scales say? Without the box."})
        return max(1, round(reckoned))
    if weight_g < 1:
        raise ValidationError({"weight": "A box weighs something."})
    off = off_by(weight_g, reckoned)
    if abs(off) > MOST_OFF_PERCENT and not sure:
        raise ValidationError(
            {
                "weight": f"Size and wax of these candles come to {in_kilos(reckoned)}; {in_kilos(weight_g)} is "
                f"{abs(off)} % {'more' if off > 0 else 'less'}. Count and weigh again, or tick that the scales are "
                "right."
            }
        )
    return weight_g


def _check_kind(kind: BoxKind, weight_g: int) -> None:
    if not kind.active:
        raise ValidationError({"kind": f"{kind} is no longer in use."})
    if weight_g + kind.tare_g > kind.limit_g:
        raise ValidationError(
            {"kind": f"With the box it is {in_kilos(weight_g + kind.tare_g)}; {kind} takes {in_kilos(kind.limit_g)}."}
        )


def check_box_price(price: Decimal | None, pairs: int) -> None:
    """A line of an order costs at least a penny a pair, so a box does."""
    if price is not None and price < pairs * PENNY:
        raise ValidationError({"price": f"At least {in_pounds(pairs * PENNY)}: a penny a pair."})


@transaction.atomic
def price_seconds_box(*, box: SecondsBox, price: Decimal | None, version: int, by) -> SecondsBox:
    """Give the box a price of its own (GBP, without VAT), or None: the rule's. Refused once it is sold or opened."""
    box = lock_box_on_shelf(box)
    if box.price == price:
        return box
    check_version(box, version)
    check_box_price(price, sum(box.contents.values_list("pairs", flat=True)))
    before = box.price
    box.price = price
    _save(box, "price")
    was = in_pounds(before) if before else "the rule's"
    tell(box, f"Price {in_pounds(price) if price else 'by the rule'}, before {was}", by)
    return box


@transaction.atomic
def open_box(*, box: SecondsBox, version: int, by) -> SecondsBox:
    """Take the box apart: its pairs lie free on the shelf again. Opened already: nothing. Refused once it is sold."""
    box = lock_boxes([box.pk])[box.pk]
    if box.state == OPENED:
        return box
    _refuse_gone(box)
    check_version(box, version)
    contents = {one.lot_id: one.pairs for one in box.contents.all()}
    lots = lock_lots(contents)
    for key in sorted(contents):
        free_pairs(lots[key], contents[key])
    box.state = OPENED
    _save(box, "state")
    tell(box, f"Opened: {in_pairs(sum(contents.values()))} lie free on the shelf again", by)
    return box


def lock_boxes(ids: Iterable[int]) -> dict[int, SecondsBox]:
    """Lock the boxes by key: after orders, lines and wants, before lots. Needs a transaction."""
    rows = SecondsBox.objects.select_for_update(of=("self",)).filter(pk__in=set(ids)).order_by("pk")
    return {box.pk: box for box in rows.select_related("order__shop")}


def lock_box_on_shelf(box: SecondsBox) -> SecondsBox:
    """The box, locked; ValidationError where it is sold or opened."""
    box = lock_boxes([box.pk])[box.pk]
    _refuse_gone(box)
    return box


def _refuse_gone(box: SecondsBox) -> None:
    if box.state != ON_SHELF:
        raise ValidationError(why_gone(box))


def why_gone(box: SecondsBox) -> str:
    shop = box.order.shop.name if box.order_id else ""
    return gone_to(box.code, state=box.state, order=box.order.number if box.order_id else None, shop=shop)


def put_state(box: SecondsBox, state: str, order=None) -> None:
    """A locked box is sold to an order, or stands on the shelf again."""
    if (state == SOLD) != (order is not None):
        raise ValueError("a box is sold to an order, or to none")
    box.state, box.order = state, order
    _save(box, "state", "order")


def _save(box: SecondsBox, *fields: str) -> None:
    box.version += 1
    box.save(update_fields=["version", *fields])


def tell(box: SecondsBox, what: str, by) -> None:
    record(subject=SUBJECT, subject_id=box.pk, what=what, by=by)
