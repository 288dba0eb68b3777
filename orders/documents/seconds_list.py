"""The content of a seconds list for one shop: what stands on the shelf, at its own prices, for a day. Frozen when it
is issued; what is gone by the time the shop rings is gone.
"""

from collections.abc import Sequence
from datetime import date

from django.utils import timezone

from inventory.models import Lot
from inventory.words import day, in_pairs
from orders.documents.parts import candle_facts, house
from orders.domain.pricing import book_of_prices, item_of
from orders.models import Shop
from orders.money import in_pounds, symbol_of
from orders.prices import PriceBook, in_percent, price_seconds
from orders.queries.seconds import free_lots_of_seconds
from orders.queries.seconds_boxes import ShelfBox, shelf_boxes
from orders.seconds_words import faults_in_words, in_kilos, list_sentence

CARE = (
    "Seconds are sold as such, with the faults named: they burn as they are shaped, so look them over before they are "
    "lit, and never leave a burning candle alone. First come, first served: a box that is gone is gone."
)


def seconds_list_content(shop: Shop, for_day: date) -> dict:
    """Plain text, whole numbers, lists and dicts; its number is put in when it is issued. Prices as of that day."""
    today, workshop = timezone.localdate(), house()
    book = book_of_prices(shop, for_day)
    boxes = [_box(box) for box in shelf_boxes(for_day, shop) if box.price.known]
    singles = _singles(free_lots_of_seconds(), book, for_day)
    address = shop.addresses.order_by("-usual", "pk").first()
    receiver = {"name": shop.name, "address": address.as_lines if address else [shop.town]}
    pairs = sum(row["pairs"] for row in singles)
    return {
        "title": "Seconds list",
        "issued_on": day(today),
        "issued_iso": today.isoformat(),
        "for_day": f"{for_day:%A} {day(for_day)}",
        "for_iso": for_day.isoformat(),
        "workshop": workshop,
        "shop": receiver,
        "addressee": [receiver["name"], *receiver["address"]],
        "sender": [workshop["name"], *workshop["address"], workshop["telephone"], workshop["email"]],
        "seconds": True,
        "answer": list_sentence(boxes=len(boxes), in_boxes=sum(box["pairs"] for box in boxes), pairs=pairs),
        "symbol": symbol_of(book.currency),
        "boxes": boxes,
        "singles": singles,
        "pairs": pairs,
        "terms": _terms(shop),
        "care": CARE,
    }


def _terms(shop: Shop) -> list[str]:
    terms = ["Prices are without VAT; carriage is as on your other orders."]
    if shop.discount:
        terms.append(
            f"Your discount of {in_percent(shop.discount)} comes off single pairs; in the price of a box it is taken "
            "off already."
        )
    return terms


def _box(row: ShelfBox) -> dict:
    return {
        "code": row.box.code,
        "pairs": row.pairs,
        "weight": in_kilos(row.box.weight_g),
        "contents": [{**candle_facts(candle), "pairs": pairs} for candle, pairs in row.candles],
        "faults": row.faults,
        "price": in_pounds(row.price.price),
        "why": row.price.words,
    }


def _singles(lots: Sequence[Lot], book: PriceBook, for_day: date) -> list[dict]:
    """A row for each candle and price, with the faults there are of it."""
    rows: dict[tuple, list[Lot]] = {}
    for lot in lots:
        price = price_seconds(book, item_of(lot.candle), (for_day - lot.made_on).days)
        if price.known:
            rows.setdefault((lot.candle.code, price.price), []).append(lot)
    return [
        {
            **candle_facts(its[0].candle),
            "faults": faults_in_words((lot.fault, lot.free) for lot in its),
            "pairs": sum(lot.free for lot in its),
            "price": in_pounds(price),
        }
        for (_, price), its in sorted(rows.items(), key=lambda row: row[0])
    ]


def letter_body(content: dict) -> str:
    """The words of the letter that takes the list along."""
    workshop = content["workshop"]
    ends = "\n".join(filter(None, ("Kind regards", workshop["name"], workshop["telephone"])))
    paragraphs = [
        f"Dear {content['shop']['name']},",
        f"{content['answer']} The list for {content['for_day']} is attached, with your prices.",
        *([f"Boxes: {_boxes_in_words(content)}."] if content["boxes"] else []),
        "First come, first served: ring or write, and tell us the code of the box, or the candles and pairs.",
        ends,
    ]
    return "\n\n".join(paragraphs) + "\n"


def _boxes_in_words(content: dict) -> str:
    return "; ".join(
        f"{box['code']}, {in_pairs(box['pairs'])}, {content['symbol']}{box['price']}" for box in content["boxes"][:20]
    )
