"""Lists in sentences."""

import pytest

from inventory.words import listed

LOTS = ["48 x SG180 of F-1", "2 x WH100 of F-2", "12 x OC250 of F-3"]


@pytest.mark.parametrize(
    ("room", "said"),
    [
        (100, "48 x SG180 of F-1, 2 x WH100 of F-2, 12 x OC250 of F-3"),
        (54, "48 x SG180 of F-1, 2 x WH100 of F-2, 12 x OC250 of F-3"),
        (53, "48 x SG180 of F-1, 2 x WH100 of F-2 and 1 more"),
        (45, "48 x SG180 of F-1 and 2 more"),
        (27, "3 in all"),
    ],
)
def test_a_list_is_cut_between_its_items(room, said):
    assert listed(LOTS, room) == said
    assert len(said) <= room


def test_nothing_is_nothing():
    assert listed([], 10) == ""
