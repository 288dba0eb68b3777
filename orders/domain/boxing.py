"""Boxes of a delivery being packed: as proposed, and as the packer then fills them."""

from django.core.exceptions import ValidationError
from django.db import transaction

from inventory.domain.records import record
from inventory.domain.versions import check_version
from inventory.words import counted
from orders.boxes import CannotPack, Kind, Piece, boxes_in_words
from orders.domain.holding import lock_orders
from orders.models import Box, BoxContent, BoxKind, Delivery, DeliveryLine, SecondsBox
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


def boxes_of(delivery: Delivery, lines: list[DeliveryLine] | None = None) -> list[Box]:
    """Boxes with kind, slip and contents, in the order of their numbers. `lines`: of lines_of, where they are read."""
    lines = {line.pk: line for line in (lines_of(delivery) if lines is None else lines)}
    boxes = list(delivery.boxes.select_related("kind", "slip", "seconds_box").prefetch_related("contents"))
    for box in boxes:
        for content in box.contents.all():
            content.delivery_line = lines[content.delivery_line_id]
    return boxes


def what_lies_in(box: Box) -> list[tuple[Piece, int]]:
    if box.pk is None:
        return []
    return [(as_piece(content.delivery_line), content.pairs) for content in box.contents.all()]


def propose_boxes(delivery: Delivery, lines: list[DeliveryLine]) -> None:
    """Write the boxes: those of seconds as they stand, then what orders.packing proposes for the other lines.

    ValidationError where a candle fits no box.
    """
    sealed, loose = _put_in_sealed(delivery, lines), _loose(lines)
    if not loose:
        return
    try:
        proposal = pack_pairs([as_piece(line) for line in loose], kinds_in_use())
    except CannotPack as error:
        raise ValidationError(str(error)) from error
    boxes = Box.objects.bulk_create(
        Box(delivery=delivery, number=number, kind_id=filled.kind.key)
        for number, filled in enumerate(proposal.boxes, start=sealed + 1)
    )
    BoxContent.objects.bulk_create(
        BoxContent(box=box, delivery_line_id=key, pairs=pairs)
        for box, filled in zip(boxes, proposal.boxes, strict=True)
        for key, pairs in filled.contents.items()
    )


def _loose(lines: list[DeliveryLine]) -> list[DeliveryLine]:
    return [line for line in lines if not line.line.seconds_box_id]


def _put_in_sealed(delivery: Delivery, lines: list[DeliveryLine]) -> int:
    """A box for each box of seconds with its own lines in it; returns how many."""
    by_box: dict[int, list[DeliveryLine]] = {}
    for line in lines:
        if line.line.seconds_box_id:
            by_box.setdefault(line.line.seconds_box_id, []).append(line)
    for number, sealed in enumerate(SecondsBox.objects.filter(pk__in=by_box).order_by("pk"), start=1):
        box = Box.objects.create(delivery=delivery, number=number, kind_id=sealed.kind_id, seconds_box=sealed)
        BoxContent.objects.bulk_create(
            BoxContent(box=box, delivery_line=line, pairs=line.pairs) for line in by_box[sealed.pk]
        )
    return len(by_box)


def boxes_against_least(lines: list[DeliveryLine], boxes: int) -> str:
    """ "7 boxes; 6 is the least possible by volume": how far the boxes as they stand are from the least possible.

    Boxes of seconds go as they stand and are told apart.
    """
    loose, sealed = _loose(lines), len({line.line.seconds_box_id for line in lines} - {None})
    apart = f"{counted(sealed, 'box', 'boxes')} of seconds as made up" if sealed else ""
    if not loose:
        return apart
    boxes -= sealed
    try:
        words = boxes_in_words(boxes, *least_boxes([as_piece(line) for line in loose], kinds_in_use()))
    except CannotPack:
        # Kinds of box were changed since; what is packed stays packed.
        words = counted(boxes, "box", "boxes")
    return f"{words}, and {apart}" if apart else words


def refuse_overfull(boxes: list[Box]) -> None:
    """ValidationError for the first box whose contents are too long, too many or too heavy for its kind.

    A box of seconds was weighed when it was made up, and what lies in it lies in it.
    """
    kinds = kinds_in_use()
    for box in (box for box in boxes if not box.seconds_box_id):
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
    _refuse_sealed(boxes, moved, to_box)
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


def _refuse_sealed(boxes: list[Box], moved: BoxContent, to_box: int | None) -> None:
    for box in boxes:
        if box.seconds_box_id and (box.pk == moved.box_id or box.number == to_box):
            field = "content" if box.pk == moved.box_id else "to"
            raise ValidationError({field: f"Box {box.number} is {box.seconds_box.code}: it goes as it is."})


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
