from decimal import Decimal
from types import SimpleNamespace

import pytest

from inventory.label_layout import PACK, letters_of, places_of

SHEET = SimpleNamespace(
    page_w_mm=Decimal(210), page_h_mm=Decimal(297), columns=2, rows=4, label_w_mm=Decimal("99.1"),
    label_h_mm=Decimal("67.7"), left_mm=Decimal("4.7"), top_mm=Decimal("13.1"), gap_x_mm=Decimal("2.4"),
    gap_y_mm=Decimal(0),
)  # fmt: skip


def test_a_begun_sheet_is_filled_up_and_the_next_begins_at_its_first_label():
    first, second = places_of(SHEET, 9, start=8)
    # 4.7 + 99.1 + 2.4 and 13.1 + 3 x 67.7
    assert first == [(Decimal("106.2"), Decimal("216.2"))]
    assert second[:3] == [
        (Decimal("4.7"), Decimal("13.1")),
        (Decimal("106.2"), Decimal("13.1")),
        (Decimal("4.7"), Decimal("80.8")),
    ]
    assert len(second) == 8
    assert places_of(SHEET, 0, start=1) == []


@pytest.mark.parametrize("start", [0, 9])
def test_a_start_that_is_not_on_the_page_is_refused(start):
    with pytest.raises(ValueError, match="place"):
        places_of(SHEET, 1, start=start)


def test_letters_grow_with_the_label_and_not_without_end():
    assert 7 < letters_of(SHEET, least=PACK) < Decimal("7.2")
    halves = SimpleNamespace(label_w_mm=Decimal(210), label_h_mm=Decimal("148.5"))
    assert letters_of(halves, least=PACK) == Decimal("10.5")
