"""Amounts of materials, as the book keeps them and as people say them. No Django here.

The book counts whole grams, millimetres and pieces; one buys, and mostly speaks of, kilograms, metres and pieces.
"""

from decimal import Decimal

GRAM, MILLIMETRE, PIECE = "g", "mm", "piece"
# Unit one buys in: its name and how many units of the book it is.
BOUGHT_IN = {GRAM: ("kg", 1000), MILLIMETRE: ("m", 1000), PIECE: ("pieces", 1)}


def amount_in_words(amount: int, unit: str) -> str:
    """ "12.5 kg", "340 m", "1 piece"; less than a kilogram or a metre in grams or millimetres: "480 g".

    Kilograms and metres to the first decimal above 10, to the third below.
    """
    if unit == PIECE:
        return f"{amount:,} {'piece' if amount == 1 else 'pieces'}"
    name, size = BOUGHT_IN[unit]
    if abs(amount) < size:
        return f"{amount} {unit}"
    figure = Decimal(amount) / size
    said = f"{figure:,.1f}" if abs(figure) >= 10 else f"{figure:.3f}"
    return f"{said.rstrip('0').rstrip('.')} {name}"


def in_book_units(bought: Decimal, unit: str) -> int:
    """What was typed in kg, m or pieces in the book's unit. ValueError where it is finer than the book keeps."""
    amount = Decimal(bought) * BOUGHT_IN[unit][1]
    if amount != int(amount):
        raise ValueError("Whole pieces." if unit == PIECE else f"At most 3 decimals: the book keeps whole {unit}.")
    return int(amount)


def as_bought(amount: int, unit: str) -> Decimal:
    """The amount in kg, m or pieces, exactly."""
    size = BOUGHT_IN[unit][1]
    return Decimal(amount) / size if size > 1 else Decimal(amount)
