import itertools
from datetime import date
from decimal import Decimal

from orders.models import AgreedPrice, BoxBreak, ListPrice, PriceList, SecondsPrice, Shop, ShopGroup
from tests.factories.house import make_candle

_serial = itertools.count(1)


def make_group(*shops: Shop, **fields) -> ShopGroup:
    group = ShopGroup.objects.create(**{"name": f"Group {next(_serial)}", **fields})
    for shop in shops:
        shop.group = group
        shop.save(update_fields=["group"])
    return group


def make_price_list(prices=(), breaks=(), **fields) -> PriceList:
    """A list in force since 1 October 2026; prices as (candle, price), breaks as (candle or None, boxes, percent)."""
    row = PriceList.objects.create(**{"name": f"List {next(_serial)}", "since": date(2026, 10, 1), **fields})
    for candle, price in prices or [(make_candle(), "2.30")]:
        ListPrice.objects.create(list=row, candle=candle, price=Decimal(price))
    for candle, boxes, percent in breaks:
        BoxBreak.objects.create(list=row, candle=candle, boxes=boxes, percent=Decimal(percent))
    return row


def make_agreed(shop: Shop, candle=None, **fields) -> AgreedPrice:
    values = {"price": Decimal("1.95"), "since": date(2026, 10, 1), "currency": shop.currency, **fields}
    return AgreedPrice.objects.create(shop=shop, candle=candle or make_candle(), **values)


def make_seconds_price(**fields) -> SecondsPrice:
    return SecondsPrice.objects.create(**{"basis": "share", "value": 50, "since": date(2026, 10, 1), **fields})
