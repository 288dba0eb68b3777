import itertools
import uuid
from datetime import date
from decimal import Decimal

from django.utils import timezone

from orders.domain.ordering import TERMS
from orders.models import Address, BoxKind, Order, OrderLine, Series, Shop, VanDay, VatRate
from tests.factories.house import make_candle, make_person

_serial = itertools.count(1)


def make_shop(address: bool = True, **fields) -> Shop:
    n = next(_serial)
    shop = Shop.objects.create(**{"name": f"Shop {n}", "town": "Orrin Bay", **fields})
    if address:
        make_address(shop)
    return shop


def make_address(shop: Shop, **fields) -> Address:
    values = {"kind": "delivery", "label": "Shop", "lines": "4 Tanner Row", "town": shop.town, "postcode": "ZZ2 2BB"}
    return Address.objects.create(shop=shop, **{**values, "usual": True, **fields})


def make_order(shop=None, lines=(), by=None, status: str = "confirmed", **fields) -> Order:
    """An order with lines given as (candle, pairs). Straight into the tables: no stock is set aside."""
    shop = shop or make_shop()
    series = Series.objects.get(name="order")
    values = {
        "number": series.next,
        "status": status,
        "ship_by": date(2026, 12, 4),
        "deliver_to": shop.addresses.filter(kind="delivery").first(),
        "placed_on": date(2026, 11, 20),
        "confirmed_at": timezone.now() if status != "draft" else None,
        "submission": uuid.uuid4(),
        **{name: getattr(shop, name) for name in TERMS},
        **fields,
    }
    Series.objects.filter(pk=series.pk).update(next=series.next + 1)
    order = Order.objects.create(shop=shop, made_by=by or make_person(), **values)
    for position, (candle, pairs) in enumerate(lines or [(make_candle(), 24)], start=1):
        OrderLine.objects.create(
            order=order,
            position=position,
            candle=candle,
            pairs=pairs,
            price=candle.trade_price,
            price_from="trade price",
        )
    return order


def make_box_kind(**fields) -> BoxKind:
    n = next(_serial)
    values = {"name": f"Box {n}", "length_mm": 320, "width_mm": 240, "height_mm": 160, "tare_g": 250, "limit_g": 12000}
    return BoxKind.objects.create(**{**values, **fields})


def make_van_days(*weekdays: int) -> list[VanDay]:
    return [VanDay.objects.get_or_create(weekday=day)[0] for day in weekdays or (1, 3)]


def make_vat_rates() -> None:
    for vat_class, category, percent in (("standard", "S", "20"), ("reduced", "S", "5"), ("zero", "Z", "0")):
        VatRate.objects.get_or_create(
            vat_class=vat_class, since=date(2011, 1, 4), defaults={"category": category, "percent": Decimal(percent)}
        )
