"""Amounts of materials in words."""

from datetime import date
from decimal import Decimal

import pytest

from inventory.material_words import (
    amount_in_words,
    as_bought,
    in_book_units,
    material_in_words,
    overdue_in_words,
    overdue_words,
    purchases_in_words,
    stock_in_words,
)


@pytest.mark.parametrize(
    ("amount", "unit", "said"),
    [
        (0, "g", "0 g"),
        (480, "g", "480 g"),
        (1_000, "g", "1 kg"),
        (1_250, "g", "1.25 kg"),
        (64_324, "g", "64.3 kg"),
        (1_234_500, "g", "1,234.5 kg"),
        (26_880, "mm", "26.9 m"),
        (999, "mm", "999 mm"),
        (1, "piece", "1 piece"),
        (1_200, "piece", "1,200 pieces"),
    ],
)
def test_amounts_are_said_as_one_buys(amount, unit, said):
    assert amount_in_words(amount, unit) == said


def test_what_is_typed_becomes_whole_units_or_is_refused():
    assert in_book_units(Decimal("12.5"), "g") == 12_500
    assert in_book_units(Decimal("0.001"), "mm") == 1
    assert in_book_units(Decimal(40), "piece") == 40
    for typed, unit in (("0.0005", "g"), ("1.5", "piece")):
        with pytest.raises(ValueError, match="hole"):
            in_book_units(Decimal(typed), unit)


def test_what_is_overdue_is_said_in_a_line():
    today = date(2026, 11, 29)
    late, later = ("Stearin of Port Waxes", date(2026, 11, 27)), ("Flat 24 ply of Hexley Mill", date(2026, 11, 28))
    assert overdue_in_words([late], today) == "Stearin of Port Waxes is overdue by 2 days"
    assert overdue_in_words([late, later], today) == "2 orders of material are overdue, the first by 2 days"
    assert overdue_in_words([("Beeswax", today)], today) == ""
    said = purchases_in_words([late, later, ("Beeswax", today)], today)
    assert said == "3 orders of material under way, 2 of them overdue; Stearin of Port Waxes is overdue by 2 days."
    assert purchases_in_words([], today) == "No material is on order."
    assert overdue_words(date(2026, 11, 30), today) == "in 1 day"
    assert overdue_words(today, today) == "expected today"


def test_the_first_line_of_the_materials():
    low = ["Stearin", "Flat 15 ply"]
    assert stock_in_words(24, low, [], Decimal("4812.5")) == (
        "24 materials lie in the stockroom, worth £4,812.50; 2 are below what is always kept."
    )
    assert stock_in_words(1, [], ["Wax of Port Waxes"], None) == (
        "1 material lies in the stockroom; none runs low; Wax of Port Waxes is overdue."
    )
    assert "made of nothing" in stock_in_words(0, [], [], None)


def test_the_first_line_of_one_material():
    assert material_in_words("Stearin", "g", 0, 0, []) == "Stearin: none is left."
    assert material_in_words("Stearin", "g", 12_500, 1, [(200_000, date(2026, 12, 2))]) == (
        "Stearin: 12.5 kg in 1 lot; 200 kg more are on order, expected on 2 December 2026."
    )


def test_there_and_back():
    assert as_bought(12_500, "g") == Decimal("12.5")
    assert as_bought(40, "piece") == 40
