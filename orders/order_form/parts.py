"""What an order form is made of: its columns, its labels, the facts of one candle's row. No Django."""

import re
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

# The columns from left to right: what each is for, and the heading over it. A form is read by these headings alone,
# so that columns may be moved.
COLUMNS = {
    "picture": "Pair", "code": "Code", "candle": "Candle", "size": "Size (mm)", "box": "Pairs to a box",
    "price": "Price a pair", "more": "By the box", "last": "Last year", "pairs": "Pairs wanted", "value": "Value",
    "note": "Your remark",
}  # fmt: skip
# What stands in the head, one to a row, its value in the cell beside it.
LABELS = {
    "form": "Form", "made": "Made on", "reference": "Your reference", "day": "Leaves us on", "address": "Deliver to",
    "notes": "Notes", "pairs": "Pairs in all", "goods": "Goods",
}  # fmt: skip
DAYS_SHEET, DAYS_HEADING, ADDRESSES_HEADING = "Days", "Our van leaves on", "Your addresses"


@dataclass(frozen=True)
class FormRow:
    """A candle on a form. `price` a pair without VAT, one box or less; `steps`: (pairs, price a pair from so many on),
    rising; `discount` percent that comes off at the end; `last`: pairs ordered a year ago; `picture`: a PNG and the px
    it is shown at.
    """

    code: str
    name: str
    size: str
    pairs_per_box: int
    price: Decimal
    steps: tuple[tuple[int, Decimal], ...] = ()
    discount: Decimal = Decimal(0)
    last: int = 0
    picture: tuple[bytes, int, int] | None = None


@dataclass(frozen=True)
class Form:
    """A form before it is written. `house`: the workshop's name, address and how to reach it; `terms`: sentences."""

    number: str
    shop: str
    house: tuple[str, ...]
    made_on: date
    symbol: str
    rows: tuple[FormRow, ...]
    days: tuple[date, ...]
    addresses: tuple[str, ...]
    terms: tuple[str, ...]


def plain(text: str) -> str:
    """A heading or label as it is compared: small letters and figures only."""
    return re.sub(r"[\W_]+", "", text.casefold())
