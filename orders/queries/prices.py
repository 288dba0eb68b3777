"""Reads of the price lists: what stands, what each candle costs on a list, what a shop pays."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Count, Max, Q, QuerySet

from inventory.models import Candle
from orders.models import AgreedPrice, PriceList, Shop, ShopGroup
from orders.models.order import CONFIRMED, DONE
from orders.price_words import Known, sentence_of, what_a_shop_pays

TAKEN = Q(order_lines__order__status__in=(CONFIRMED, DONE))


def lists_for_page() -> QuerySet[PriceList]:
    """Every list, the latest first, each with how many candles it prices."""
    return PriceList.objects.select_related("group").annotate(candles=Count("prices")).order_by("-since", "name")


def known(row: PriceList) -> Known:
    """A list of `lists_for_page` as the sentences need it."""
    return Known(row.name, row.currency, row.group.name if row.group else "", row.since, row.candles)


def standing_of(row: PriceList, rows: list[PriceList], today: date) -> str:
    """The first line of a list's page."""
    return sentence_of(known(next(one for one in rows if one.pk == row.pk)), [known(one) for one in rows], today)


@dataclass
class PricedCandle:
    """A candle on a list's page: its price on it (None: not on it), and the price it has on the list before."""

    candle: Candle
    price: Decimal | None
    before: Decimal | None


def candles_of(row: PriceList) -> list[PricedCandle]:
    """Every candle in the catalogue and those still on the list, by code. Three queries."""
    prices = dict(row.prices.values_list("candle", "price"))
    earlier = PriceList.objects.filter(currency=row.currency, group=row.group, since__lt=row.since).order_by("-since")
    before = dict(earlier.first().prices.values_list("candle", "price")) if earlier else {}
    candles = Candle.objects.filter(Q(active=True) | Q(pk__in=prices)).select_related("colour").order_by("code")
    return [PricedCandle(candle, prices.get(candle.pk), before.get(candle.pk)) for candle in candles]


def groups_for_list() -> QuerySet[ShopGroup]:
    return ShopGroup.objects.annotate(
        shops_in=Count("shops", filter=Q(shops__active=True), distinct=True), newest=Max("lists__since")
    )


def agreed_of(shop: Shop) -> QuerySet[AgreedPrice]:
    """What was agreed with a shop, by candle, the newest agreement first."""
    return shop.agreed_prices.select_related("candle__colour").order_by("candle__code", "-since")


def stands_on(row: AgreedPrice, shop: Shop, today: date) -> bool:
    """Whether an agreement prices the shop's orders of that day."""
    return row.currency == shop.currency and row.since <= today and (row.until is None or row.until >= today)


def prices_in_words(shop: Shop, today: date) -> str:
    """What a shop pays by: "2 agreed prices, else Farm shops 2026 for 8 candles, else Trade list 2026"."""
    lists = [known(row) for row in lists_for_page().filter(since__lte=today)]
    agreed = [row for row in agreed_of(shop) if stands_on(row, shop, today)]
    group = shop.group.name if shop.group else ""
    return what_a_shop_pays(lists, group, shop.currency, len({row.candle_id for row in agreed}), today)
