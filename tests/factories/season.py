"""A small season through the domain's own doors: taken, set aside, packed, gone, invoiced."""

from dataclasses import dataclass
from datetime import timedelta

from django.utils import timezone

from inventory.models import Candle, Lot
from orders.domain.invoicing import issue_invoice
from orders.domain.packing import close_boxes, start_packing, van_left
from orders.domain.setting_aside import set_aside_order, sync_wants
from orders.models import Delivery, Invoice, Order
from tests.factories.house import make_candle, make_lot, make_person, make_workshop
from tests.factories.trade import make_box_kind, make_order, make_shop, make_van_days


@dataclass
class Season:
    by: object
    candle: Candle
    lot: Lot
    sent: Order
    gone: Delivery
    invoice: Invoice
    packed: Order
    waiting: Delivery
    short: Order


def make_season() -> Season:
    """Three orders of 24 pairs of one candle: one sent and invoiced, one packed, one for which 12 are missing."""
    today = timezone.localdate()
    make_workshop()
    make_van_days()
    make_box_kind(standard=True)
    by, candle = make_person(), make_candle(code="IV250")
    lot = make_lot(candle, 60, by=by, code="L-1", made_on=today - timedelta(days=9))
    shop = make_shop(carriage="8.50")
    orders = [make_order(shop, [(candle, 24)], by=by, ship_by=today + timedelta(days=n)) for n in (2, 3, 4)]
    for order in orders:
        sync_wants(order)
        set_aside_order(order=order, by=by)
    deliveries = []
    for order in orders[:2]:
        delivery = start_packing(order=order, by=by)
        deliveries.append(close_boxes(delivery=delivery, version=delivery.version, by=by))
    gone = van_left(delivery=deliveries[0], version=deliveries[0].version, on=today, by=by)
    invoice = issue_invoice(shop=shop, delivery_ids=[gone.pk], issued_on=today, by=by)
    sent, packed, short = Order.objects.order_by("number")
    return Season(by, candle, lot, sent, gone, invoice, packed, deliveries[1], short)


def ship_and_invoice(shop, candle, by, pairs: int = 24) -> Invoice:
    """One more order of these pairs, with a lot of its own, on its whole way."""
    today = timezone.localdate()
    make_lot(candle, pairs, by=by, made_on=today - timedelta(days=99))
    order = make_order(shop, [(candle, pairs)], by=by, ship_by=today + timedelta(days=2))
    set_aside_order(order=order, by=by)
    delivery = start_packing(order=order, by=by)
    delivery = close_boxes(delivery=delivery, version=delivery.version, by=by)
    delivery = van_left(delivery=delivery, version=delivery.version, on=today, by=by)
    return issue_invoice(shop=shop, delivery_ids=[delivery.pk], issued_on=today, by=by)
