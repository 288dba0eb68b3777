"""The facts of an order form: every candle this shop can buy, at its prices, with what it took a year ago."""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal

from inventory.models import Candle, Workshop
from inventory.pair_png import pair_png
from inventory.words import day, measure
from orders import carriage
from orders.documents.trade_list import box_steps
from orders.domain.pricing import book_of_prices, carriage_rule, item_of
from orders.models import Shop
from orders.money import in_pounds, symbol_of
from orders.order_form.parts import COLUMNS, Form, FormRow
from orders.order_form.told import quarters_before
from orders.prices import Price, PriceBook, in_percent, price_firsts
from orders.queries.order_forms import pairs_ordered, van_days_between

# px: no candle of a form is taller or wider, so that the widest fits its column.
TALLEST, WIDEST, USUAL_SCALE = 100, 13, Decimal("0.13")


def order_form_of(*, number: str, shop: Shop, first: date, last: date, note: str, today: date) -> Form:
    """The form as it is to be written, by today's prices. `first`, `last`: the stretch of days it is for."""
    since, until, in_words = quarters_before(first, last)
    taken = pairs_ordered(shop, since, until)
    rows = candle_rows(shop, today, taken)
    workshop = Workshop.objects.filter(pk=1).first()
    addresses = shop.addresses.filter(kind="delivery").order_by("-usual", "label")
    return Form(
        number=number,
        shop=str(shop),
        house=tuple(_house(workshop)),
        made_on=today,
        symbol=symbol_of(shop.currency),
        rows=tuple(rows),
        days=tuple(van_days_between(first, last)),
        addresses=tuple(str(address).replace("\n", " ") for address in addresses),
        terms=tuple(_terms(shop, note, in_words, today, last_year=bool(taken))),
    )


def candle_rows(shop: Shop, today: date, taken: dict[int, int]) -> list[FormRow]:
    """A row for every candle of the catalogue that has a price for this shop, by wax and code. Few queries."""
    book = book_of_prices(shop, today)
    candles = list(Candle.objects.filter(active=True).select_related("wax", "colour").order_by("wax__name", "code"))
    priced = [(candle, price) for candle in candles if (price := price_firsts(book, item_of(candle), 0)).known]
    scale = _scale(candle for candle, _ in priced)
    return [
        _row(candle, price, book, shop=shop, scale=scale, last=taken.get(candle.pk, 0)) for candle, price in priced
    ]


def _row(candle: Candle, price: Price, book: PriceBook, *, shop: Shop, scale: float, last: int) -> FormRow:
    steps = box_steps(item_of(candle), price, book)
    picture = pair_png(
        length_mm=candle.length_mm, base_mm=candle.base_mm, tip_mm=candle.tip_mm, colour=candle.colour.hex, scale=scale
    )
    return FormRow(
        code=candle.code,
        name=candle.name,
        size=f"{measure(candle.length_mm)} × {measure(candle.base_mm)}",
        pairs_per_box=candle.pairs_per_box,
        price=price.price,
        steps=tuple((boxes * candle.pairs_per_box, cost) for boxes, cost in steps),
        discount=shop.discount if price.takes_discount else Decimal(0),
        last=last,
        picture=picture,
    )


def _scale(candles: Iterable[Candle]) -> float:
    """px a mm, one for all: a stub is stubby beside a taper."""
    sizes = [(candle.length_mm, candle.base_mm) for candle in candles]
    fits = [min(TALLEST / length, WIDEST / base) for length, base in sizes]
    return float(min([USUAL_SCALE, *fits]))


def _house(workshop: Workshop | None) -> list[str]:
    if workshop is None:
        return []
    lines = [workshop.name, *workshop.address.splitlines(), workshop.town, workshop.postcode]
    return [line.strip() for line in (*lines, workshop.telephone, workshop.email) if line.strip()]


def _terms(shop: Shop, note: str, in_words: str, today: date, *, last_year: bool) -> list[str]:
    """The sentences above the list."""
    off = f" The sum has your discount of {in_percent(shop.discount)} taken off." if shop.discount else ""
    least = f" Smallest order: goods of {in_pounds(shop.minimum_order)}." if shop.minimum_order else ""
    carried = carriage.in_words(carriage_rule(shop)) if shop.carriage else "free"
    said = [
        f"Write whole pairs into “{COLUMNS['pairs']}”, or boxes as “2 boxes” (the sums above count whole pairs only). "
        "What is not on the list goes into the empty rows below it.",
        f"Prices a pair in {shop.currency} without VAT, as of {day(today)}.{off} Carriage: {carried}.{least}",
        f"“{COLUMNS['last']}”: pairs you ordered to leave {in_words}." if last_year else "",
        note,
    ]
    return [sentence for sentence in said if sentence]
