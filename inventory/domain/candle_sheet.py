"""The catalogue from a sheet: new candles put in, those that are there changed where the sheet says otherwise."""

from collections.abc import Sequence

from stdnum import ean

from inventory.domain.catalogue import add_candle, change_candle
from inventory.domain.sheet_columns import changed_fields, column_of, told
from inventory.domain.sheets import Kind, Taking
from inventory.models import Candle, Colour, Shelf, Wax
from inventory.sheets.columns import Column, FilledRow
from inventory.sheets.outcome import CHANGED, NEW, UNCHANGED
from inventory.sheets.values import text_of

NEEDED = ("name", "length_mm", "base_mm", "wax", "colour", "wick", "pairs_per_box", "trade_price")


def columns() -> list[Column]:
    waxes = {wax.name: wax for wax in Wax.objects.all()}
    colours = {text: colour for colour in Colour.objects.all() for text in (colour.name, colour.code)}
    shelves = {shelf.code: shelf for shelf in Shelf.objects.all()}

    def of(name: str, *also: str, **options) -> Column:
        return column_of(Candle, name, also=also, needed=name in NEEDED, **options)

    code = text_of(12, lambda text: text.strip().upper())
    return [
        Column("code", "Code", code, ("SKU", "Item code", "Stock code"), True, "capitals, digits, dashes", "ZZ250"),
        of("name", "Candle", "Description", "Product", example="Example taper 250 x 22"),
        of("length_mm", "Length", example="250"),
        of("base_mm", "Base diameter", "Diameter", "Base", example="22"),
        of("tip_mm", "Tip diameter", "Tip", example="18"),
        of("wax", "Material", rows=waxes, example=next(iter(waxes), "")),
        of("colour", "Color", "Shade", rows=colours, example=next(iter(colours), "")),
        of("wick", example="CD-10"),
        of("pairs_per_box", "Pairs a box", "Box", "Per box", "Case size", example="24"),
        Column("gtin", "GTIN", gtin_of, ("EAN", "Barcode", "Bar code"), False, "8, 12, 13 or 14 digits", ""),
        of("trade_price", "Trade price", "Price", "Price a pair", example="2.20"),
        of("vat_class", "VAT", example="standard"),
        of("shelf", rows=shelves, example=next(iter(shelves), "")),
        of("active", "In catalogue", "Active", example="yes"),
    ]


def gtin_of(text: str) -> str:
    """A GTIN whose check digit fits; ValueError names the digit that would."""
    digits = ean.compact(text)
    if not (digits.isascii() and digits.isdecimal()) or len(digits) not in (8, 12, 13, 14):
        raise ValueError(f"“{text[:20]}” is no GTIN: 8, 12, 13 or 14 digits.")
    if not ean.is_valid(digits):
        nearest = digits[:-1] + ean.calc_check_digit(digits[:-1])
        raise ValueError(f"the check digit does not fit; the nearest is {nearest}, or a digit is mistyped.")
    return digits


def take(rows: Sequence[FilledRow], taking: Taking) -> None:
    there = {candle.code: candle for candle in Candle.objects.select_related("wax", "colour", "shelf")}
    for row in rows:
        with taking.row(row):
            taking.need(row, "code")
            _take_row(row, there.get(row.values["code"]), taking)


def _take_row(row: FilledRow, candle: Candle | None, taking: Taking) -> None:
    values = dict(row.values)
    if candle is None:
        taking.need(row, *NEEDED)
        values.setdefault("tip_mm", values["base_mm"])
        candle = add_candle(fields=values, by=taking.by)
        taking.became(row, NEW, candle.code, candle.name)
    elif changes := changed_fields(candle, values):
        said = told(candle, changes)
        change_candle(candle=candle, version=candle.version, fields=changes, by=taking.by)
        taking.became(row, CHANGED, candle.code, said)
    else:
        taking.became(row, UNCHANGED, candle.code, candle.name)


CANDLES = Kind(
    key="candles",
    title="Candles",
    place="candles",
    one="candle",
    many="candles",
    says=(
        "A row is a candle, known by its code. A code the book does not know is a new candle.",
        "Of a candle that is there, what the sheet says otherwise is changed; an empty cell changes nothing.",
        "Waxes, colours and shelves have to be in the book: they are set up first. An empty tip diameter is the "
        "base diameter.",
    ),
    columns=columns,
    take=take,
    keys=("code", "name", "gtin"),
)
