"""What a box of seconds costs, read from the book. The rule itself is in orders/seconds_prices.py."""

from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db.models import Prefetch, QuerySet

from orders.domain.pricing import book_of_prices, item_of
from orders.models import SecondsBox, SecondsBoxContent, Shop
from orders.prices import STERLING, Price, PriceBook
from orders.seconds_prices import Content, price_of_box


def boxes_with_contents(rows: QuerySet[SecondsBox] | None = None) -> QuerySet[SecondsBox]:
    """The boxes with what lies in them: lots, candles, colour and wax fetched along."""
    contents = SecondsBoxContent.objects.select_related("lot__candle__colour", "lot__candle__wax")
    rows = SecondsBox.objects.all() if rows is None else rows
    return rows.select_related("kind", "order__shop").prefetch_related(Prefetch("contents", contents))


def contents_of(box: SecondsBox, day: date) -> list[Content]:
    """What lies in the box as the rules read it, in the order of its contents; ages on that day."""
    return [
        Content(item_of(one.lot.candle), one.pairs, max(0, (day - one.lot.made_on).days)) for one in box.contents.all()
    ]


def reckoned_g(contents: Iterable[tuple]) -> Decimal:
    """Weight in g of (candle, pairs), from the candles' size and wax."""
    return sum((candle.grams_a_pair * pairs for candle, pairs in contents), Decimal(0))


def price_boxes(boxes: Sequence[SecondsBox], shop: Shop | None, day: date) -> list[Price]:
    """What each box costs this shop (None: one without group, agreement or discount) on a day, in its currency."""
    book = book_of_prices(shop, day)
    return [price_box(book, box, day, shop.discount if shop else Decimal(0)) for box in boxes]


def price_box(book: PriceBook, box: SecondsBox, day: date, discount: Decimal) -> Price:
    """The owner's own price of the box, which is net; else what the rule says, less the discount."""
    if box.price is None:
        return price_of_box(book, contents_of(box, day), box.weight_g, discount)
    if book.currency != STERLING:
        return Price(Decimal(0), f"its own price is in {STERLING} only", known=False)
    return Price(box.price, "the price set for this box", False)


def check_priced_box(box: SecondsBox, price: Price) -> None:
    if not price.known:
        raise ValidationError({"boxes": f"{box.code} cannot be sold to this shop: {price.words}."})
