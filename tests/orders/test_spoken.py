"""Numbers of pairs as people say them."""

import pytest

from orders.reading.tokens import read_quantity


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("2 doz", (24, "pairs")),
        ("2doz.", (24, "pairs")),
        ("a dozen", (12, "pairs")),
        ("Half a dozen", (6, "pairs")),
        ("half dozen boxes", (6, "boxes")),
        ("3 dozen pairs", (36, "pairs")),
        ("twelve", (12, "pairs")),
        ("Twenty-four please", (24, "pairs")),
        ("one hundred and twenty pairs", (120, "pairs")),
        ("two boxes", (2, "boxes")),
        ("a box", (1, "boxes")),
        ("2 boxes, please", (2, "boxes")),
        ("=24+12", (36, "pairs")),
        ("= 2*24 + 6", (54, "pairs")),
    ],
)
def test_a_number_in_words_is_understood(said, meant):
    assert read_quantity(said) == meant


@pytest.mark.parametrize(
    "said",
    ["a", "a few", "a couple", "twenty eleven", "four twenty", "24 or 36", "24 doz or 3", "2-3", "-5", "24?", "2.5",
     "1/2 doz", "=SUM(A1:A9)", "=-5+9", "=24+" + "1+" * 40 + "1"],
)  # fmt: skip
def test_what_is_not_plainly_a_number_stays_a_doubt(said):
    assert read_quantity(said) is None
