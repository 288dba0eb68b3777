from decimal import Decimal
from types import SimpleNamespace

import pytest

from inventory.label_layout import PACK, letters_of, pages_of, style_of

SHEET = SimpleNamespace(
    page_w_mm=Decimal(210), page_h_mm=Decimal(297), columns=2, rows=4, label_w_mm=Decimal("99.1"),
    label_h_mm=Decimal("67.7"), left_mm=Decimal("4.7"), top_mm=Decimal("13.1"), gap_x_mm=Decimal("2.4"),
    gap_y_mm=Decimal(0),
)  # fmt: skip


def test_a_begun_sheet_is_filled_up_and_the_next_begins_at_its_first_label():
    assert pages_of(list("abcd"), to_a_page=4, start=3) == [[(3, "a"), (4, "b")], [(1, "c"), (2, "d")]]
    assert pages_of([], to_a_page=4, start=1) == []


@pytest.mark.parametrize("start", [0, 5])
def test_a_start_that_is_not_on_the_page_is_refused(start):
    with pytest.raises(ValueError, match="place"):
        pages_of(["a"], to_a_page=4, start=start)


def test_every_place_of_the_sheet_has_its_measures():
    style = style_of(SHEET, least=PACK)
    assert ".at-1 { left: 4.7mm; top: 13.1mm; }" in style
    assert ".at-8 { left: 106.2mm; top: 216.2mm; }" in style  # 4.7 + 99.1 + 2.4 and 13.1 + 3 x 67.7
    assert ".at-9" not in style


def test_letters_grow_with_the_label_and_not_without_end():
    assert 7 < letters_of(SHEET, least=PACK) < Decimal("7.2")
    halves = SimpleNamespace(label_w_mm=Decimal(210), label_h_mm=Decimal("148.5"))
    assert letters_of(halves, least=PACK) == Decimal("10.5")
