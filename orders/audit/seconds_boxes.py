"""Boxes of seconds: only seconds lie in them, what is sold lies on its order whole, and leaves as one box."""

from collections import Counter
from collections.abc import Iterator

from orders.models import Box, OrderLine, SecondsBox, SecondsBoxContent
from orders.models.delivery import UNPACKED
from orders.models.order import CANCELLED, CONFIRMED, DONE
from orders.models.seconds_box import OPENED, SOLD


def breaches() -> Iterator[str]:
    firsts = SecondsBoxContent.objects.exclude(lot__grade="seconds").select_related("box", "lot")
    for row in firsts.order_by("pk").iterator():
        yield f"seconds box {row.box.code}: lot {row.lot.code} in it is of {row.lot.grade}"
    for box in SecondsBox.objects.exclude(state=OPENED).filter(contents=None).order_by("pk").iterator():
        yield f"seconds box {box.code} is {box.state} and empty"
    for box in SecondsBox.objects.filter(state=SOLD).select_related("order").order_by("pk"):
        yield from _sold(box)
    yield from _torn_lines()
    yield from _packed()


def _sold(box: SecondsBox) -> Iterator[str]:
    """On its order lie exactly the pairs that lie in it, candle by candle; confirmed, lot by lot."""
    where = f"seconds box {box.code}"
    if box.order.status == CANCELLED:
        yield f"{where} is sold to order {box.order.number}, which is cancelled"
    inside, ordered, by_lot, promised = Counter(), Counter(), Counter(), Counter()
    for row in box.contents.select_related("lot"):
        inside[row.lot.candle_id] += row.pairs
        by_lot[row.lot_id] += row.pairs
    lines = list(OrderLine.objects.filter(seconds_box=box, order=box.order).prefetch_related("promises"))
    for line in lines:
        ordered[line.candle_id] += line.pairs
        promised.update({promise.lot_id: promise.pairs for promise in line.promises.all()})
    if inside != ordered:
        yield f"{where} holds {inside.total()} pairs, order {box.order.number} has {ordered.total()} of it"
    if box.order.status == CONFIRMED and not any(line.sent for line in lines) and promised != by_lot:
        yield f"{where}: what is set aside for order {box.order.number} is not what lies in it"


def _torn_lines() -> Iterator[str]:
    """A confirmed line of a box is never open: what is open would be filled from anywhere."""
    lines = OrderLine.objects.filter(seconds_box__isnull=False, order__status__in=(CONFIRMED, DONE))
    for line in lines.select_related("order", "seconds_box").order_by("pk").iterator():
        if line.sent + line.set_aside != line.pairs or (line.sent and line.set_aside):
            yield (
                f"order {line.order.number} line {line.position}: {line.pairs} pairs of seconds box "
                f"{line.seconds_box.code}, but {line.sent} sent and {line.set_aside} set aside"
            )


def _packed() -> Iterator[str]:
    boxes = Box.objects.filter(seconds_box__isnull=False).exclude(delivery__state=UNPACKED)
    for box in boxes.select_related("seconds_box", "delivery__note", "delivery__order").prefetch_related(
        "contents__delivery_line", "seconds_box__contents"
    ):
        inside, packed = Counter(), Counter()
        for row in box.seconds_box.contents.all():
            inside[row.lot_id] += row.pairs
        for row in box.contents.all():
            packed[row.delivery_line.lot_id] += row.pairs
        if inside != packed:
            yield f"delivery {box.delivery}: box {box.number} is not seconds box {box.seconds_box.code} as it stands"
        if box.seconds_box.order_id != box.delivery.order_id:
            yield f"delivery {box.delivery}: seconds box {box.seconds_box.code} is not this order's"
