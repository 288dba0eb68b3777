import itertools
from datetime import date

from django.utils import timezone

from inventory.models import Movement
from orders.domain.papers import issue_paper
from orders.models import Box, BoxContent, BoxKind, Delivery, DeliveryLine, Order
from tests.factories.house import make_lot, make_person
from tests.factories.trade import make_box_kind

_serial = itertools.count(1)


def make_sent(order: Order, *pairs: int, left_on=date(2026, 11, 20), by=None, lots: int = 1) -> Delivery:
    """A delivery that has left: `pairs` of each line in turn (all that is open when none is given), from `lots` lots.

    Straight into the tables, but with stock, counters and note as packing leaves them.
    """
    by = by or make_person("packer")
    content = {"title": "Delivery note", "order": str(order.number)}
    note = issue_paper(
        kind="delivery note", shop=order.shop, content=content, issued_on=left_on, by=by, series="delivery note"
    )
    delivery = Delivery.objects.create(
        order=order,
        state="left",
        van_day=left_on,
        note=note,
        started_at=timezone.now(),
        started_by=by,
        closed_at=timezone.now(),
        left_on=left_on,
    )
    slip = issue_paper(
        kind="packing slip", shop=order.shop, content={}, issued_on=left_on, by=by, number=f"{note.number}/1"
    )
    kind = BoxKind.objects.first() or make_box_kind()
    box = Box.objects.create(delivery=delivery, number=1, kind=kind, slip=slip)
    lines = list(order.lines.all())
    for line, count in zip(lines, pairs or [line.pairs - line.sent for line in lines], strict=False):
        if count:
            _send(box, line, count, by, lots)
    if all(line.sent == line.pairs for line in lines):
        Order.objects.filter(pk=order.pk).update(status="done")
    return delivery


def _send(box, line, pairs, by, lots):
    shares = [pairs // lots + (1 if n < pairs % lots else 0) for n in range(lots)]
    for share in filter(None, shares):
        lot = make_lot(line.candle, share, by=by, grade=line.order.grade, code=f"SENT{next(_serial):05d}")
        movement = Movement.objects.create(
            lot=lot, kind="sent", pairs=-share, reference=box.delivery.note.number, person=by, at=timezone.now()
        )
        lot.on_hand = 0
        lot.save()
        sent = DeliveryLine.objects.create(delivery=box.delivery, line=line, lot=lot, pairs=share, movement=movement)
        BoxContent.objects.create(box=box, delivery_line=sent, pairs=share)
    line.sent += pairs
    line.save(update_fields=["sent"])
