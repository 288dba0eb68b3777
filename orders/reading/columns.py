"""The columns of a pasted block: how a line falls into cells, and what a heading says of each. No Django."""

import csv
import re
from dataclasses import dataclass

from orders.reading.tokens import join_thousands, tidy

CANDLE = {"code", "codes", "item", "items", "product", "products", "candle", "candles", "description", "desc", "name",
          "sku", "article", "gtin", "ean", "barcode"}  # fmt: skip
PAIRS = {"qty", "quantity", "quantities", "pairs", "pair", "ordered", "number", "amount", "order", "units", "no"}
BOXES = {"boxes", "box", "cases", "cartons"}
OTHER = {"price", "cost", "total", "value", "net", "vat", "each", "rrp", "size", "colour", "color", "line", "notes",
         "note", "comment", "comments", "trade", "discount", "date", "length"}  # fmt: skip
BETWEEN = {"of", "a", "an", "the", "per", "to", "your", "our", "stock", "x", "and", "in", "unit", "please", "required"}
DELIMITERS = ("\t", ";", "|", ",")


@dataclass(frozen=True)
class Columns:
    """What a heading says: the cells that name the candle, the cell with the quantity, and whether it counts boxes."""

    delimiter: str
    candle: tuple[int, ...]
    pairs: int | None
    in_boxes: bool


def read_heading(text: str) -> Columns | None:
    """The columns, if every word of the line is a word of headings; None for any other line."""
    if any(letter.isdigit() for letter in text):
        return None
    delimiter = delimiter_of(text)
    cells = _split(text, delimiter) if delimiter else re.split(r"\s+", text.strip())
    roles = [_role(cell) for cell in cells]
    known = [role for role in roles if role]
    if None in roles or len(known) < 2 or not {"candle", "pairs", "boxes"} & set(known):
        return None
    pairs = [n for n, role in enumerate(roles) if role == "pairs"]
    boxes = [n for n, role in enumerate(roles) if role == "boxes"]
    amounts = pairs or boxes
    candle = tuple(n for n, role in enumerate(roles) if role == "candle")
    # Words with single blanks between them are a heading, but cannot be told apart as columns in the lines below.
    at = amounts[0] if delimiter and len(amounts) == 1 and candle else None
    return Columns(delimiter or "", candle, at, in_boxes=not pairs)


def cells_of(text: str, columns: Columns | None = None) -> list[str]:
    """The cells of a line: by the heading's delimiter, else by the first of tab, semicolon, bar, comma found in it.

    Empty cells are kept under a heading, so that each stays below its own; otherwise they say nothing.
    """
    if columns and columns.pairs is not None and columns.delimiter in text:
        return _split(text, columns.delimiter)
    delimiter = delimiter_of(text)
    cells = [tidy(cell) for cell in (_split(text, delimiter) if delimiter else [text.replace('"', " ")])]
    return [cell for cell in cells if cell] or [tidy(text)]


def delimiter_of(text: str) -> str:
    outside = re.sub(r'"[^"]*"', "", join_thousands(text))
    return next((mark for mark in DELIMITERS if mark in outside), "")


def _split(text: str, delimiter: str) -> list[str]:
    text = join_thousands(text) if '"' not in text else text
    return next(csv.reader([text], delimiter=delimiter, skipinitialspace=True), [text])


def _role(cell: str) -> str | None:
    """candle, pairs, boxes, other, "" for an empty cell; None where a word is none of a heading's."""
    words = re.findall(r"[^\W\d_]+", cell.casefold())
    if not words:
        return "" if not cell.strip(" .-#№") else None
    if not set(words) <= CANDLE | PAIRS | BOXES | OTHER | BETWEEN:
        return None
    for role, known in (("other", OTHER), ("boxes", BOXES - {"box"}), ("candle", CANDLE), ("pairs", PAIRS)):
        if set(words) & known:
            return role
    return "boxes" if "box" in words else "other"
