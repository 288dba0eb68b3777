"""Boxes of a delivery being packed: as proposed, and as the packer then fills them."""

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Prefetch

from inventory.domain.records import record
from inventory.domain.versions import check_version
from orders.boxes import CannotPack, Kind, Piece, boxes_in_words
from orders.domain.holding import lock_orders
from orders.models import Box, BoxContent, BoxKind, Delivery, DeliveryLine
from orders.models.delivery import PACKING
from orders.packing import least_boxes, pack_pairs, room_in


def as_kind(kind: BoxKind) -> Kind:
    return Kind(
        kind.pk, kind.name, kind.length_mm, kind.width_mm, kind.height_mm, kind.tare_g, kind.limit_g, kind.standard
    )


def kinds_in_use() -> list[Kind]:
    """The kinds of box in use, as orders.packing takes them."""
    return [as_kind(kind) for kind in BoxKind.objects.all() if kind.active]


def as_piece(line: DeliveryLine) -> Piece:
    """A delivery line that comes with its order line, candle and wax."""
    candle = line.line.candle
    return Piece(
        key=line.pk,
        line=line.line_id,
        candle=candle.name,
        length_mm=candle.length_mm,
        grams=candle.grams_a_pair,
        per_box=candle.pairs_per_box,
        pairs=line.pairs,
    )


def lines_of(delivery: Delivery) -> list[DeliveryLine]:
    """Lines in the order's own order, oldest lot first, with all that paper and boxes need."""
    return list(delivery.lines.select_related("line__candle__wax", "line__candle__colour", "lot", "line"))


def boxes_of(delivery: Delivery) -> list[Box]:
    """Boxes with kind, slip and contents, in the order of their numbers."""
    contents = BoxContent.objects.select_related(
        "delivery_line__line__candle__wax", "delivery_line__line__candle__colour", "delivery_line__lot"
    )
    return list(delivery.boxes.select_related("kind", "slip").prefetch_related(Prefetch("contents", contents)))


def what_lies_in(box: Box) -> list[tuple[Piece, int]]:
    if box.pk is None:
        return []
    return [(as_piece(content.delivery_line), content.pairs) for content in box.contents.all()]


def propose_boxes(delivery: Delivery, lines: list[DeliveryLine]) -> None:
    """Write the boxes that orders.packing proposes for these lines. ValidationError where a candle fits no box."""
    try:
        proposal = pack_pairs([as_piece(line) for line in lines], kinds_in_use())
    except CannotPack as error:
        raise ValidationError(str(error)) from error
    boxes = Box.objects.bulk_create(
        Box(delivery=delivery, number=number, kind_id=filled.kind.key)
        for number, filled in enumerate(proposal.boxes, start=1)
    )
    BoxContent.objects.bulk_create(
        BoxContent(box=box, delivery_line_id=key, pairs=pairs)
        for box, filled in zip(boxes, proposal.boxes, strict=True)
        for key, pairs in filled.contents.items()
    )


def boxes_against_least(lines: list[DeliveryLine], boxes: int) -> str:
    """ "7 boxes; 6 is the least possible by volume": how far the boxes as they stand are from the least possible."""
    try:
        return boxes_in_words(boxes, *least_boxes([as_piece(line) for line in lines], kinds_in_use()))
    except CannotPack:
        # Kinds of box were changed since; what is packed stays packed.
        return "1 box" if boxes == 1 else f"{boxes} boxes"


def refuse_overfull(boxes: list[Box]) -> None:
    """ValidationError for the first box whose contents are too long, too many or too heavy for its kind."""
    kinds = kinds_in_use()
    for box in boxes:
        if why := room_in(as_kind(box.kind), kinds, what_lies_in(box)):
            raise ValidationError(f"Box {box.number}: {why}")


def lock_delivery(delivery: Delivery):
    """Lock the order (with lines, wants and promises), then the delivery; returns both. Needs a transaction."""
    locked = lock_orders([delivery.order_id])
    fresh = Delivery.objects.select_for_update().get(pk=delivery.pk)
    fresh.order = locked.orders[fresh.order_id]
    return fresh, locked


def grow_version(delivery: Delivery, *fields: str) -> None:
    delivery.version += 1
    delivery.save(update_fields=["version", *fields])


@transaction.atomic
def box_move(
    *, delivery: Delivery, version: int, content: int, pairs: int, by, to_box: int | None = None, new_kind=None
) -> Box:
    """Move `pairs` of a box's content (its id) to the box numbered `to_box`, or to a new box of `new_kind`.

    An emptied box is gone and the others are numbered anew. ValidationError, with the field at fault, where the
    pairs are not there or the other box has no room for them by space, length or weight; StaleVersion where
    somebody changed the boxes meanwhile.
    """
    delivery, _ = lock_delivery(delivery)
    if delivery.state != PACKING:
        raise ValidationError("These boxes are closed: unpack the delivery to change them.")
    check_version(delivery, version)
    boxes = boxes_of(delivery)
    moved = next((each for box in boxes for each in box.contents.all() if each.pk == content), None)
    if moved is None:
        raise ValidationError({"content": "These pairs lie in no box of this delivery."})
    if not 0 < pairs <= moved.pairs:
        raise ValidationError({"pairs": f"Between 1 and {moved.pairs} pairs can be moved from there."})
    target = _target(delivery, boxes, moved, to_box, new_kind)
    piece = as_piece(moved.delivery_line)
    if why := room_in(as_kind(target.kind), kinds_in_use(), [*what_lies_in(target), (piece, pairs)]):
        raise ValidationError({"to": why})
    if target.pk is None:
        target.save()
    came_from = next(box.number for box in boxes if box.pk == moved.box_id)
    _shift(moved, target, pairs)
    what = f"{pairs} x {moved.delivery_line.line.candle.code} moved from box {came_from} to box {target.number}"
    record(subject="delivery", subject_id=delivery.pk, what=what, by=by)
    _number_anew(delivery)
    grow_version(delivery)
    target.refresh_from_db()
    return target


def _target(delivery: Delivery, boxes: list[Box], moved: BoxContent, to_box: int | None, new_kind) -> Box:
    if new_kind is not None:
        if not new_kind.active:
            raise ValidationError({"to": f"{new_kind.name} is no longer in use."})
        return Box(delivery=delivery, number=len(boxes) + 1, kind=new_kind)
    target = next((box for box in boxes if box.number == to_box), None)
    if target is None:
        raise ValidationError({"to": "This delivery has no such box."})
    if target.pk == moved.box_id:
        raise ValidationError({"to": "They lie in that box already."})
    return target


def _shift(moved: BoxContent, target: Box, pairs: int) -> None:
    there = BoxContent.objects.filter(box=target, delivery_line=moved.delivery_line).first()
    if there:
        there.pairs += pairs
        there.save(update_fields=["pairs"])
    else:
        BoxContent.objects.create(box=target, delivery_line=moved.delivery_line, pairs=pairs)
    moved.pairs -= pairs
    if moved.pairs:
        moved.save(update_fields=["pairs"])
    else:
        BoxContent.objects.filter(pk=moved.pk).delete()


def _number_anew(delivery: Delivery) -> None:
    delivery.boxes.filter(contents=None).delete()
    # Upwards, so that a number is always free when it is given.
    for number, box in enumerate(delivery.boxes.order_by("number"), start=1):
        if box.number != number:
            box.number = number
            box.save(update_fields=["number"])
