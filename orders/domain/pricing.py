"""What a pair costs a shop, read from the book. Which price applies is said in orders/prices.py; carriage, from an
order's own terms, in orders/carriage.py. Discount and VAT are added up in orders/money.py.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal

from django.db.models import F, Q, prefetch_related_objects
from django.utils import timezone

from inventory.models import SECONDS, Candle, Lot, Workshop
from orders.carriage import FLAT, Charge, Load, Rule, charge_carriage, load_of
from orders.models import BoxKind, Order, OrderLine, PriceList, SecondsAge, SecondsPrice, Shop
from orders.models.order import DRAFT
from orders.money import NOUGHT, line_net, percent_of
from orders.prices import (
    SHARE,
    STERLING,
    AgeOff,
    Agreed,
    Break,
    Item,
    List,
    Price,
    PriceBook,
    SecondsRule,
    price_rows,
    take_break,
)
from orders.seconds_prices import Lying, price_second_rows


def price_of(candle: Candle, shop: Shop, grade: str, pairs: int = 0) -> Price:
    """Price a pair of the candle for this shop today where it orders so many pairs of it; before its discount."""
    return price_candles(shop, grade, [(candle, pairs)])[0]


def price_candles(shop: Shop, grade: str, rows: Sequence[tuple[Candle, int]], day: date | None = None) -> list[Price]:
    """Today's price (or that of another day) for each (candle, pairs) of one order, in the shop's currency.

    Seconds cost what those cost that lie free now and go first.
    """
    day = day or timezone.localdate()
    items = [(item_of(candle), pairs) for candle, pairs in rows]
    if grade != SECONDS:
        return price_rows(book_of_firsts(shop, day), items, seconds=False)
    lying = free_seconds((candle.pk for candle, _ in rows), day)
    return price_second_rows(book_of_prices(shop, day), items, lying)


def free_seconds(candles: Iterable[int], day: date) -> dict[int, list[Lying]]:
    """By candle the free pairs of seconds with their age on that day."""
    lots = Lot.objects.filter(candle__in=set(candles), grade=SECONDS, on_hand__gt=F("set_aside"))
    found: dict[int, list[Lying]] = {}
    for lot in lots.order_by("made_on", "pk"):
        found.setdefault(lot.candle_id, []).append(Lying((day - lot.made_on).days, lot.free))
    return found


def book_of_prices(shop: Shop | None, day: date, currency: str = STERLING) -> PriceBook:
    """All that prices this shop's orders on a day; None: a shop without group or agreement, in that currency."""
    book = book_of_firsts(shop, day, currency)
    return replace(book, seconds=seconds_rule(day, book.currency))


def book_of_firsts(shop: Shop | None, day: date, currency: str = STERLING) -> PriceBook:
    """The same without what seconds cost: with every row of order entry somebody waits."""
    currency = shop.currency if shop else currency
    lists = lists_in_force(day, currency, shop.group_id if shop else None)
    agreed = agreed_with(shop, day) if shop else {}
    return PriceBook(currency, agreed, [list_of(one) for one in lists])


def agreed_with(shop: Shop, day: date) -> dict[int, Agreed]:
    """What stands agreed with a shop on a day in its currency, by candle; the newest agreement counts."""
    rows = shop.agreed_prices.filter(Q(until__isnull=True) | Q(until__gte=day), currency=shop.currency, since__lte=day)
    return {row.candle_id: Agreed(row.price, row.since, row.takes_discount) for row in rows.order_by("since")}


def lists_in_force(day: date, currency: str, group_id: int | None) -> list[PriceList]:
    """The lists that stand on a day: the group's first, then the one for everybody; with prices and breaks."""
    rows = PriceList.objects.filter(currency=currency, since__lte=day)
    rows = rows.filter(Q(group__isnull=True) | Q(group=group_id)) if group_id else rows.filter(group__isnull=True)
    newest = {row.group_id: row for row in rows.order_by("since")}
    found = [newest[key] for key in dict.fromkeys((group_id, None)) if key in newest]
    # Of these alone: the lists of all years have a price for every candle each.
    prefetch_related_objects(found, "prices", "breaks")
    return found


def list_of(row: PriceList) -> List:
    """A list as the rules read it; its prices and breaks are best prefetched."""
    return List(
        row.pk,
        row.name,
        {price.candle_id: price.price for price in row.prices.all()},
        tuple(Break(one.boxes, one.percent, one.candle_id) for one in row.breaks.all()),
    )


def seconds_rule(day: date, currency: str) -> SecondsRule:
    """What seconds cost on a day: the newest rule of the currency, else the workshop's share of the firsts' price."""
    row = SecondsPrice.objects.filter(currency=currency, since__lte=day).order_by("since").last()
    ages = tuple(AgeOff(one.days, one.percent) for one in SecondsAge.objects.all())
    return SecondsRule(row.basis, row.value, ages) if row else SecondsRule(SHARE, seconds_share() * 100, ages)


def seconds_share() -> Decimal:
    """The workshop's share, or the field's own default in a book that has not been set up."""
    share = Workshop.objects.filter(pk=1).values_list("seconds_share", flat=True).first()
    return Workshop._meta.get_field("seconds_share").default if share is None else share


def item_of(candle: Candle) -> Item:
    """The candle as the rules read it. Its weight asks for the wax: callers with many candles fetch it along."""
    return Item(candle.pk, candle.pairs_per_box, candle.grams_a_pair, candle.trade_price)


def put_prices(order: Order, lines: Sequence[OrderLine], day: date) -> list[OrderLine]:
    """Write that day's prices, with where they came from, into the lines of one order; nothing is saved."""
    priced = price_candles(order.shop, order.grade, [(line.candle, line.pairs) for line in lines], day)
    for line, price in zip(lines, priced, strict=True):
        put_price(line, price)
    return list(lines)


def put_price(line: OrderLine, price: Price) -> None:
    line.price, line.price_from, line.takes_discount = price.price, price.words, price.takes_discount
    line.price_list_id, line.list_price = price.list, price.list_price


def break_again(line: OrderLine, pairs: int) -> bool:
    """Give a line the box break that `pairs` of its candle reach on the very list it was confirmed by.

    The list's price stays what it was; only how many boxes there are has changed. True where the price is another.
    """
    if line.price_list_id is None:
        return False
    row = PriceList.objects.prefetch_related("prices", "breaks").get(pk=line.price_list_id)
    before = line.price
    standing = list_of(row)
    line.price, words = take_break(line.list_price, standing.breaks, item_of(line.candle), pairs)
    line.price_from = f"{standing}{words}"
    return line.price != before


def terms_of(order: Order) -> Order | Shop:
    """Whose terms an order goes by: a draft follows its shop, a confirmed order has its own."""
    return order.shop if order.status == DRAFT else order


def goods_of(order: Order, lines: Iterable[OrderLine]) -> Decimal:
    """What a confirmed order's lines come to after the shop's discount and this order's, without VAT and carriage."""
    goods = sum((line_net(line.pairs, line.price, line.discount) for line in lines), NOUGHT)
    return goods - percent_of(goods, order.order_discount)


def carriage_of(order: Order, goods: Decimal, rows: Iterable[tuple[Candle, int]]) -> Charge:
    """Carriage for (candle, pairs) of an order whose goods come to that much after every discount, without VAT."""
    terms = terms_of(order)
    rule = carriage_rule(terms)
    load = Load(0, Decimal(0)) if rule.by == FLAT else load_of_rows(rows)
    return charge_carriage(rule, goods, load)


def carriage_rule(terms: Order | Shop) -> Rule:
    return Rule(terms.carriage_by, terms.carriage, terms.carriage_kilos, terms.carriage_free_above)


def load_of_rows(rows: Iterable[tuple[Candle, int]]) -> Load:
    """The load in standard boxes; a book without a standard box weighs the pairs alone."""
    rows = list(rows)
    prefetch_related_objects([candle for candle, _ in rows], "wax")
    tare = BoxKind.objects.filter(standard=True).values_list("tare_g", flat=True).first() or 0
    return load_of(((pairs, candle.pairs_per_box, candle.grams_a_pair) for candle, pairs in rows), tare)
