"""Orders on their way through the packing bench."""

from django.utils import timezone

from orders.domain.packing import close_boxes, start_packing, van_left
from orders.domain.setting_aside import set_aside_order
from orders.models import BoxKind
from tests.factories.house import make_candle, make_lot, make_workshop
from tests.factories.trade import make_box_kind, make_order, make_shop


def make_bench() -> None:
    """A workshop with one kind of box, the standard one."""
    make_workshop()
    if not BoxKind.objects.filter(standard=True).exists():
        make_box_kind(name="Standard box", standard=True)


def make_ready_order(by, lines=(30,), lots=None, shop=None, grade="firsts", **fields):
    """An order with lines of so many pairs, each of a candle of its own, all set aside from stock of as many pairs.

    `lots`: for each line the pairs of its lots, where they differ from one lot that is just enough.
    """
    make_bench()
    candles = [make_candle() for _ in lines]
    for candle, pairs in zip(candles, lots or [(pairs,) for pairs in lines], strict=True):
        for each in pairs:
            make_lot(candle, each, by=by, grade=grade)
    order = make_order(shop or make_shop(), lines=list(zip(candles, lines, strict=True)), by=by, grade=grade, **fields)
    set_aside_order(order=order, by=by)
    order.refresh_from_db()
    return order


def make_packed(by, order=None, **fields):
    """A delivery whose boxes are closed."""
    delivery = start_packing(order=order or make_ready_order(by, **fields), by=by)
    return close_boxes(delivery=delivery, version=delivery.version, by=by)


def make_left(by, order=None, **fields):
    """A delivery that left today."""
    delivery = make_packed(by, order, **fields)
    return van_left(delivery=delivery, version=delivery.version, on=timezone.localdate(), by=by)
