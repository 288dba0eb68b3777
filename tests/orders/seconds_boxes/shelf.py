"""What the tests of boxes of seconds do and ask all the time."""

import uuid

from inventory.models import Lot
from orders.audit import breaches
from orders.domain.ordering import confirm_order
from orders.domain.seconds import sell_seconds
from orders.models import Order
from tests.factories import make_shop
from tests.recount import recount


def sell(by, boxes=(), rows=(), shop=None, **fields) -> Order:
    values = {"submission": uuid.uuid4(), **fields}
    return sell_seconds(shop=shop or make_shop(), rows=rows, boxes=[box.pk for box in boxes], by=by, **values)


def sold(by, *boxes, **fields) -> Order:
    order = sell(by, boxes, **fields)
    return confirm_order(order=order, version=order.version, by=by)


def free(*lots) -> list[int]:
    return [Lot.objects.get(pk=lot.pk).free for lot in lots]


def state(box) -> tuple[str, int | None]:
    box.refresh_from_db()
    return box.state, box.order and box.order.number


def sound() -> None:
    recount()
    assert list(breaches()) == []
