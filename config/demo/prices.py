"""The demo's prices: last year's, this year's and the coming year's list, lists of two groups, a few agreements."""

from bisect import bisect_right
from collections.abc import Sequence
from datetime import date, timedelta
from decimal import Decimal

from inventory.models import SECONDS, Candle
from orders.domain.pricing import agreed_with, item_of, list_of, lists_in_force, seconds_rule
from orders.models import AgreedPrice, BoxBreak, ListPrice, PriceList, SecondsPrice, Shop, ShopGroup
from orders.prices import FIVEPENCE, Item, Price, PriceBook, price_rows, raise_price

# From boxes, percent off: for every candle, and for the tall church candles that go four to a box.
BREAKS = ((4, "3"), (8, "5"))
CHURCH_BREAKS = ((5, "2.5"), (15, "6"))


def make_prices(today: date, candles: Sequence[Candle], shops: Sequence[Shop]) -> None:
    """Lists, groups, agreements and what seconds cost; shops are put into their groups."""
    began = _first_of_february(today)
    yearly = {}
    for years, percent in ((-1, -4), (0, 0), (1, Decimal("3.5"))):
        since = date(began.year + years, 2, 1)
        yearly[years] = PriceList.objects.create(
            name=f"Trade list {since.year}", since=since, note="Prices a pair, firsts, without VAT."
        )
        _put(yearly[years], candles, Decimal(percent))
        _break(yearly[years], BREAKS)
    church = [candle for candle in candles if candle.code.startswith("CH")]
    _break(yearly[0], CHURCH_BREAKS, next(candle for candle in church if candle.code == "CH450"))
    _make_group("Chapel suppliers", "Church candles dearer by nothing, cheaper by the dozen", "Chapel", shops)
    _make_group("Farm shops", "They fetch what they buy", "Farm Shop", shops)
    _group_list("Chapel suppliers", began, church, Decimal(-6))
    household = [candle for candle in candles if candle.code.startswith(("HH", "ST"))]
    _group_list("Farm shops", began, household, Decimal(-4))
    SecondsPrice.objects.create(basis="share", value=50, since=date(began.year - 1, 2, 1))
    _agree(today, candles, shops)


def _first_of_february(today: date) -> date:
    """The list now in force has stood for a month at least."""
    known = today - timedelta(days=30)
    return date(known.year if known.month > 1 else known.year - 1, 2, 1)


def _put(row: PriceList, candles: Sequence[Candle], percent: Decimal) -> None:
    ListPrice.objects.bulk_create(
        ListPrice(list=row, candle=candle, price=raise_price(candle.trade_price, percent, FIVEPENCE))
        for candle in candles
    )


def _break(row: PriceList, breaks, candle: Candle | None = None) -> None:
    BoxBreak.objects.bulk_create(
        BoxBreak(list=row, candle=candle, boxes=boxes, percent=Decimal(percent)) for boxes, percent in breaks
    )


def _make_group(name: str, note: str, word: str, shops: Sequence[Shop]) -> None:
    group = ShopGroup.objects.create(name=name, note=note)
    for shop in shops:
        if word in shop.name:
            shop.group = group
    Shop.objects.filter(name__contains=word).update(group=group)


def _group_list(name: str, since: date, candles: Sequence[Candle], percent: Decimal) -> None:
    row = PriceList.objects.create(name=f"{name} {since.year}", group=ShopGroup.objects.get(name=name), since=since)
    _put(row, candles, percent)


def _agree(today: date, candles: Sequence[Candle], shops: Sequence[Shop]) -> None:
    """One candle each for seven shops; two of the agreements have run out."""
    for serial, shop in enumerate(shops[4::9]):
        candle = candles[(serial * 7 + 3) % len(candles)]
        AgreedPrice.objects.create(
            shop=shop,
            candle=candle,
            price=raise_price(candle.trade_price, Decimal(-8)),
            since=today - timedelta(days=420 - 30 * serial),
            until=today - timedelta(days=60) if serial % 3 == 2 else None,
        )


class PricesThen:
    """What shops paid on past days: each list and agreement is read once for all the days it stood."""

    def __init__(self):
        edges = set(PriceList.objects.values_list("since", flat=True))
        for since, until in AgreedPrice.objects.values_list("since", "until"):
            edges |= {since} | ({until + timedelta(days=1)} if until else set())
        self.edges = sorted(edges | set(SecondsPrice.objects.values_list("since", flat=True)))
        self.books: dict[tuple, PriceBook] = {}
        self.lists: dict[tuple, list] = {}
        self.items: dict[int, Item] = {}

    def price(self, shop: Shop, day: date, grade: str, rows: Sequence[tuple[Candle, int]]) -> list[Price]:
        """As pricing.price_candles, for a day in the past."""
        for candle, _ in rows:
            if candle.pk not in self.items:
                self.items[candle.pk] = item_of(candle)
        items = [(self.items[candle.pk], pairs) for candle, pairs in rows]
        return price_rows(self._book(shop, day), items, seconds=grade == SECONDS)

    def _book(self, shop: Shop, day: date) -> PriceBook:
        stretch = bisect_right(self.edges, day)
        if (shop.pk, stretch) not in self.books:
            self.books[shop.pk, stretch] = PriceBook(
                shop.currency,
                agreed_with(shop, day),
                self._lists(shop, day, stretch),
                seconds_rule(day, shop.currency),
            )
        return self.books[shop.pk, stretch]

    def _lists(self, shop: Shop, day: date, stretch: int) -> list:
        key = (shop.currency, shop.group_id, stretch)
        if key not in self.lists:
            self.lists[key] = [list_of(row) for row in lists_in_force(day, shop.currency, shop.group_id)]
        return self.lists[key]
