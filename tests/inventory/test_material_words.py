"""Amounts of materials in words."""

from decimal import Decimal

import pytest

from inventory.material_words import amount_in_words, as_bought, in_book_units


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


def test_there_and_back():
    assert as_bought(12_500, "g") == Decimal("12.5")
    assert as_bought(40, "piece") == 40
