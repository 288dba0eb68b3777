"""Amounts of materials, as the book keeps them and as people say them. No Django here.

The book counts whole grams, millimetres and pieces; one buys, and mostly speaks of, kilograms, metres and pieces.
"""

from collections.abc import Mapping, Sequence
from datetime import date
from decimal import Decimal

from inventory.words import counted, day

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


def mix_in_words(parts: Mapping, unit: str) -> str:
    """ "Paraffin 80 %, Stearin 20 %"; "nothing"."""
    return ", ".join(f"{part} {Decimal(figure).normalize():f} {unit}" for part, figure in parts.items()) or "nothing"


def stock_in_words(materials: int, low: Sequence[str], overdue: Sequence[str], worth: Decimal | None) -> str:
    """The materials' first line. `low`: names of those below what is always kept; `overdue`: what should have come."""
    if not materials:
        return "No material is written down yet: candles are made of nothing the book knows of."
    said = [f"{materials} {'material lies' if materials == 1 else 'materials lie'} in the stockroom"]
    if worth is not None:
        said[0] += f", worth £{worth:,.2f}"
    said.append(_named(low, "is below what is always kept", "are below what is always kept") or "none runs low")
    if overdue:
        said.append(_named(overdue, "is overdue", "orders are overdue"))
    return "; ".join(said) + "."


def _named(names: Sequence[str], one: str, many: str) -> str:
    """One by its name, more by their number."""
    if not names:
        return ""
    return f"{names[0]} {one}" if len(names) == 1 else f"{len(names)} {many}"


def material_in_words(name: str, unit: str, on_hand: int, lots: int, coming: Sequence[tuple[int, date]]) -> str:
    """One material's first line. `coming`: amounts ordered with the days they are expected, the earliest first."""
    if on_hand:
        said = f"{name}: {amount_in_words(on_hand, unit)} in {lots} {'lot' if lots == 1 else 'lots'}"
    else:
        said = f"{name}: none is left"
    if coming:
        amount, when = sum(amount for amount, _ in coming), coming[0][1]
        more = " first" if len(coming) > 1 else ""
        said += f"; {amount_in_words(amount, unit)} more {'are' if unit != PIECE or amount > 1 else 'is'} on order, "
        said += f"expected{more} on {day(when)}"
    return said + "."


def overdue_words(due_on: date, today: date) -> str:
    """ "overdue by 2 days", "expected today", "in 5 days"."""
    days = (due_on - today).days
    if days == 0:
        return "expected today"
    return f"in {counted(days, 'day')}" if days > 0 else f"overdue by {counted(-days, 'day')}"


def purchases_in_words(rows: Sequence[tuple[str, date]], today: date) -> str:
    """The first line of the orders. `rows`: what is under way with the day it is expected, the earliest first."""
    if not rows:
        return "No material is on order."
    said = f"{counted(len(rows), 'order')} of material under way"
    late = [(name, due) for name, due in rows if due < today]
    if not late:
        return f"{said}; the next is {rows[0][0]}, {overdue_words(rows[0][1], today)}."
    first = f"{late[0][0]} is {overdue_words(late[0][1], today)}"
    return f"{said}; {first}." if len(late) == 1 else f"{said}, {len(late)} of them overdue; {first}."


def overdue_in_words(rows: Sequence[tuple[str, date]], today: date) -> str:
    """What should have come by now, for a line elsewhere; empty where nothing. `rows` as for purchases_in_words."""
    late = [(name, due) for name, due in rows if due < today]
    if not late:
        return ""
    if len(late) == 1:
        return f"{late[0][0]} is {overdue_words(late[0][1], today)}"
    return f"{len(late)} orders of material are overdue, the first by {counted((today - late[0][1]).days, 'day')}"
