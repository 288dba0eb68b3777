"""What a case's label carries in bars, and how it is lifted."""

from decimal import Decimal

import pytest

from orders.case_bars import Case, bars_of, lifting_in_words

GTIN, SSCC = "6291041500213", "106141411234567897"  # GS1's samples (STANDARDS 4.1); never printed for real


def case(*contents, **fields):
    values = {"gtin": GTIN, "seconds": False, "full": True, "net_g": Decimal("3087.4"), **fields}
    return Case(contents=contents or (("IV250", "LOT42A", 24),), **values)


def test_a_numbered_case_says_content_count_and_lot_and_its_number():
    assert bars_of(case(sscc=SSCC)) == ([f"(02)0{GTIN}(37)24(10)LOT42A", f"(00){SSCC}"], "")


def test_a_full_case_without_a_number_is_a_grouping_of_its_candle():
    assert bars_of(case()) == (["(01)16291041500210(10)LOT42A"], "")


def test_any_other_count_is_a_measure_that_varies_with_its_weight():
    assert bars_of(case(full=False)) == (["(01)96291041500216(3103)003087(10)LOT42A"], "")


def test_a_gtin_of_a_case_names_the_full_case_and_no_other():
    assert bars_of(case(gtin="16291041500210"))[0] == ["(01)16291041500210(10)LOT42A"]
    bars, why = bars_of(case(gtin="16291041500210", full=False, sscc=SSCC))
    assert (bars, "names a full case, and this one is not" in why) == ([f"(00){SSCC}"], True)


@pytest.mark.parametrize(
    ("held", "fields", "why"),
    [
        ((("IV250", "A", 12), ("IV250", "B", 12)), {}, "more than one candle or lot"),
        ((("IV250", "A", 12), ("RD250", "A", 12)), {}, "more than one candle or lot"),
        ((), {"gtin": ""}, "the candle has no GTIN"),
        ((), {"seconds": True}, "these are seconds"),
        ((("IV250", "Lot (2)", 24),), {}, "characters a barcode does not carry"),
        ((), {"gtin": "6291041500214"}, "is no GTIN"),
    ],
)
def test_what_no_bar_can_tell_is_told_in_words(held, fields, why):
    bars, said = bars_of(case(*held, **fields))
    assert bars == []
    assert why in said
    assert bars_of(case(*held, **fields, sscc=SSCC))[0] == [f"(00){SSCC}"]


def test_the_same_lot_in_two_rows_is_one_content():
    assert bars_of(case(("IV250", "A", 12), ("IV250", "A", 12), sscc=SSCC))[0][0] == f"(02)0{GTIN}(37)24(10)A"


@pytest.mark.parametrize(
    ("kilograms", "words"),
    [
        # TRADE S-16, S-17, between knuckle and elbow: 25/15 and 16/10 kg, close to the body and at arm's length.
        ("10", ""),
        ("10.01", "Lift it close to the body."),
        ("16", "Lift it close to the body."),
        ("16.01", "HEAVY: two people or a trolley."),
        ("25", "HEAVY: two people or a trolley."),
        ("25.01", "TOO HEAVY for one: two people and a trolley."),
    ],
)
def test_a_case_says_how_to_lift_it(kilograms, words):
    assert lifting_in_words(Decimal(kilograms)) == words
