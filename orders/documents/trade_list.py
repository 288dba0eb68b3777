"""The trade list: every candle with its pair, what a pair and a full box cost, and what more boxes cost.

It is priced by the same rules as an order, so what is printed is what is charged. It knows firsts only: a second is
never offered from a list.
"""

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from inventory.models import Candle, Workshop
from inventory.words import day, measure
from orders import carriage
from orders.domain.pricing import agreed_with, book_of_prices, carriage_rule, item_of, list_of, lists_in_force
from orders.models import PriceList, Shop
from orders.money import in_pounds, symbol_of
from orders.prices import Item, Price, PriceBook, in_percent, price_firsts, take_break


@dataclass(frozen=True)
class Row:
    """`more` says what a pair costs from so many boxes on; `own` marks a price agreed with the shop."""

    candle: Candle
    size: str
    price: str
    box: str
    more: tuple[str, ...]
    own: bool


@dataclass
class TradeList:
    """A trade list as it is printed. Amounts as they stand there; `terms` are whole sentences."""

    title: str
    whom: str
    symbol: str
    from_day: str
    sections: list[tuple[str, list[Row]]] = field(default_factory=list)
    terms: list[str] = field(default_factory=list)
    note: str = ""
    workshop: Workshop | None = None


def trade_list_of(row: PriceList, today: date) -> TradeList:
    """What a list says, on the day it is or was first in force; candles it does not name as everybody pays them."""
    when = max(row.since, today) if _stands(row, today) else row.since
    every = lists_in_force(when, row.currency, None) if row.group_id else []
    book = PriceBook(row.currency, {}, [list_of(one) for one in (row, *every)])
    found = TradeList(row.name, row.group.name if row.group else "", symbol_of(row.currency), day(row.since))
    found.note = row.note
    return _filled(found, book)


def trade_list_for(shop: Shop, today: date) -> TradeList:
    """What this shop pays today: its agreements, its group's list, everybody's; with its terms."""
    book = book_of_prices(shop, today)
    found = TradeList("Prices", shop.name, symbol_of(shop.currency), day(today))
    rule = carriage.in_words(carriage_rule(shop))
    if shop.discount:
        net = any(not one.takes_discount for one in agreed_with(shop, today).values())
        found.terms.append(
            f"Your discount of {in_percent(shop.discount)} comes off these prices"
            f"{', except off those agreed with you' if net else ''}."
        )
    found.terms.append(f"Carriage: {rule}." if shop.carriage else "Carriage is free.")
    if shop.minimum_order:
        found.terms.append(f"Smallest order: goods of {in_pounds(shop.minimum_order)}.")
    return _filled(found, book)


def _stands(row: PriceList, today: date) -> bool:
    later = PriceList.objects.filter(currency=row.currency, group=row.group, since__gt=row.since, since__lte=today)
    return row.since <= today and not later.exists()


def _filled(found: TradeList, book: PriceBook) -> TradeList:
    found.workshop = Workshop.objects.filter(pk=1).first()
    candles = Candle.objects.filter(active=True).select_related("wax", "colour").order_by("wax__name", "code")
    sections: dict[str, list[Row]] = {}
    for candle in candles:
        item = item_of(candle)
        price = price_firsts(book, item, 0)
        if price.known:
            sections.setdefault(candle.wax.name, []).append(_row(candle, item, price, book))
    found.sections = list(sections.items())
    return found


def _row(candle: Candle, item: Item, price: Price, book: PriceBook) -> Row:
    return Row(
        candle=candle,
        size=f"{measure(candle.length_mm)} × {measure(candle.base_mm)} mm",
        price=in_pounds(price.price),
        box=in_pounds(price.price * candle.pairs_per_box),
        more=tuple(_steps(item, price, book)),
        own=candle.pk in book.agreed,
    )


def _steps(item: Item, price: Price, book: PriceBook) -> list[str]:
    """ "from 4 boxes 2.26": the list's price at each of the breaks that hold for this candle."""
    steps = box_steps(item, price, book)
    return [f"from {boxes} {'box' if boxes == 1 else 'boxes'} {in_pounds(cost)}" for boxes, cost in steps]


def box_steps(item: Item, price: Price, book: PriceBook) -> list[tuple[int, Decimal]]:
    """(boxes, what a pair costs from so many on), rising, where its price came from a list with breaks."""
    source = next((one for one in book.lists if one.pk == price.list), None)
    if source is None:
        return []
    own = [one for one in source.breaks if one.candle == item.candle]
    steps = sorted({one.boxes for one in own or source.breaks if one.candle in (None, item.candle)})
    return [(boxes, _at(item, price.list_price, source.breaks, boxes)) for boxes in steps]


def _at(item: Item, listed: Decimal, breaks, boxes: int) -> Decimal:
    return take_break(listed, breaks, item, boxes * item.pairs_per_box)[0]
