"""Cells that name a candle or a quantity, read as order entry reads them."""

from collections.abc import Callable, Mapping

from django.core.exceptions import ValidationError

from inventory.models import Candle
from inventory.sheets.columns import Column
from orders.models import MOST_PAIRS
from orders.queries.entry import CandleBook
from orders.reading.tokens import read_quantity

CODES = ("Code", "Item code", "Stock code", "SKU", "GTIN", "EAN", "Item")
NAMES = ("Name", "Description", "Product", "Candle name")
PAIRS = ("Qty", "Quantity", "Pairs ordered", "In stock", "On hand", "Count", "Stock")


def candle_columns() -> list[Column]:
    """The candle by code, GTIN or name; its name once more, which only has to agree; and the pairs."""
    book = CandleBook()
    example = next(iter(book.offered), None)
    return [
        Column(
            "candle", "Candle", candle_of(book), CODES, True, "code, GTIN or whole name",
            example.code if example else "ZZ250",
        ),
        Column(
            "named", "Candle's name", candle_of(book), NAMES, False, "where the code stands too, both have to agree"
        ),
        Column(
            "pairs", "Pairs", pairs_of, PAIRS, True, "whole pairs, dozens (2 doz), or boxes (3b)", "24",
        ),
    ]  # fmt: skip


def candle_of(book: CandleBook) -> Callable[[str], Candle]:
    """The candle with that code, GTIN or whole name. Never guessed: the nearest are offered."""
    catalogue = book.reader.catalogue

    def read(text: str) -> Candle:
        if known := catalogue.exactly(text):
            return book.by_code[known.code]
        nearest = ", ".join(f"{near.code} ({near.name})" for near in catalogue.nearest(text))
        raise ValueError(f"There is no candle “{text[:60]}”. " + (f"Nearest: {nearest}." if nearest else ""))

    return read


def pairs_of(text: str) -> tuple[int, str]:
    """(number, "pairs" or "boxes"); ValueError where it is no whole number of either."""
    found = (0, "pairs") if text.strip() == "-" else read_quantity(text)
    if found is None:
        raise ValueError(f"“{text[:40]}” is no quantity. Write whole pairs as 24, or boxes as 3b.")
    if found[0] > MOST_PAIRS:
        raise ValueError(f"{found[0]:,} is more than the {MOST_PAIRS:,} pairs a row may hold.")
    return found


def candle_in(values: Mapping[str, object]) -> Candle:
    """The candle of a row. ValidationError where none is named, or code and name are of two."""
    candle, named = values.get("candle"), values.get("named")
    if candle is None and named is None:
        raise ValidationError({"candle": "is needed."})
    if candle and named and candle != named:
        raise ValidationError({"named": f"the code is of {candle.name}, the name of {named.code}: which is meant?"})
    return candle or named


def pairs_in(values: Mapping[str, object], candle: Candle) -> int:
    """The pairs of a row, boxes counted out; 0 where nothing stands there."""
    number, unit = values.get("pairs", (0, "pairs"))
    pairs = number * candle.pairs_per_box if unit == "boxes" else number
    if pairs > MOST_PAIRS:
        raise ValidationError({"pairs": f"{pairs:,} pairs; at most {MOST_PAIRS:,} a row."})
    return pairs
