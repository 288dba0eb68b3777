"""GS1's numbers against what GS1 publishes, and element strings against the parser of python-stdnum."""

from decimal import Decimal

import pytest
from stdnum import gs1_128

from inventory.gs1 import (
    BY_WEIGHT,
    CONTENT,
    GTIN,
    ONE_CASE,
    SSCC,
    Element,
    NotGs1,
    batch,
    count,
    element_string,
    gtin_14,
    is_checked,
    net_kg,
    retail_number,
    sscc,
    with_check_digit,
)

# GS1's own sample numbers; never printed for real. GTIN-13: gs1.org, "How to calculate a check digit manually". The
# SSCCs are computed by the weights that page gives for 17 digits; its worked example is the GTIN alone.
SAMPLES = [
    ("629104150021", "3"),
    ("10614141123456789", "7"),
    ("37610425002123456", "9"),
    ("00061414112345678", "1"),
]


@pytest.mark.parametrize(("digits", "check"), SAMPLES)
def test_published_check_digits(digits, check):
    assert with_check_digit(digits) == digits + check
    assert is_checked(digits + check)
    assert not any(is_checked(digits + other) for other in set("0123456789") - {check})


@pytest.mark.parametrize(
    ("prefix", "serial", "whole"),
    [
        ("0614141", 1_123456789, "106141411234567897"),  # extension digit 1, serial 123456789
        ("7610425", 3_002123456, "376104250021234569"),
        ("0061414", 112345678, "000614141123456781"),
        ("290000000001", 0, "029000000000100000"[:-1]),
    ],
)
def test_a_cases_number_goes_round_the_prefix(prefix, serial, whole):
    made = sscc(prefix, serial)
    assert made.startswith(whole[:17])
    assert len(made) == 18
    assert is_checked(made)


def test_a_prefix_runs_out_of_numbers_and_says_so():
    assert sscc("290000000001", 99_999)[0] == "9"
    with pytest.raises(NotGs1, match="All 100,000 numbers"):
        sscc("290000000001", 100_000)
    for wrong in ("", "12345", "1234567890123", "12a4567"):
        with pytest.raises(NotGs1, match="6 to 12 digits"):
            sscc(wrong, 1)


def test_a_gtin_of_13_stands_in_the_field_of_14_behind_a_nought():
    assert gtin_14("6291041500213") == "06291041500213"
    assert gtin_14("96385074") == "00000096385074"  # an EAN-8 that many pages show; its check digit is computed
    # STANDARDS 4.1: indicator 1 before the first sample; a sum that is a full ten gives 0.
    assert gtin_14("6291041500213", ONE_CASE) == "16291041500210"
    assert is_checked(gtin_14("6291041500213", BY_WEIGHT))
    with pytest.raises(NotGs1, match="names a case already"):
        gtin_14("16291041500210", BY_WEIGHT)
    with pytest.raises(NotGs1, match="is no GTIN"):
        gtin_14("6291041500214")


def test_a_till_reads_13_or_8_digits_and_no_case():
    assert retail_number("6291041500213") == "6291041500213"
    assert retail_number("036000291452") == "0036000291452"  # twelve digits: a widely printed sample, from memory
    assert retail_number("96385074") == "96385074"
    assert retail_number("06291041500213") == "6291041500213"
    with pytest.raises(NotGs1, match="names a case"):
        retail_number("16291041500210")


def test_a_net_weight_has_six_digits_three_of_them_decimals():
    assert net_kg(Decimal("1250")).data == "001250"  # STANDARDS 4.2: 3103 001250 = 1.250 kg
    assert net_kg(Decimal("1249.5")).data == "001250"
    for wrong in ("0.4", "0", "1000000"):
        with pytest.raises(NotGs1):
            net_kg(Decimal(wrong))


def test_what_the_parser_of_another_hand_reads():
    text = element_string(batch("LOT42A"), count(24), Element(CONTENT, "06291041500213"))
    assert text == "(02)06291041500213(10)LOT42A(37)24"
    raw = "0206291041500213" + "10LOT42A\x1d" + "3724"
    assert gs1_128.info(raw, separator="\x1d") == {"02": "06291041500213", "10": "LOT42A", "37": 24}
    by_weight = element_string(Element(GTIN, gtin_14("6291041500213", BY_WEIGHT)), net_kg(Decimal(1250)), batch("B7"))
    assert gs1_128.info(by_weight.replace("(", "").replace(")", ""))["3103"] == Decimal("1.250")


@pytest.mark.parametrize(
    "elements",
    [
        [],
        [Element(CONTENT, "06291041500213")],  # a content without its count
        [count(24), batch("A")],
        [Element(GTIN, "06291041500213"), Element(CONTENT, "06291041500213"), count(1)],
        [Element(SSCC, "106141411234567890")],  # a wrong check digit
        [batch("A"), batch("B")],
        [Element(SSCC, "106141411234567897"), Element(CONTENT, "06291041500213"), count(24), batch("F26-1125-03")],
    ],
)
def test_what_does_not_go_together_is_refused(elements):
    with pytest.raises(NotGs1):
        element_string(*elements)


@pytest.mark.parametrize("code", ["", "x" * 21, "LOT (2)", "Löt", "A B", "A\x1dB", "#1"])
def test_a_lots_code_that_no_bar_carries_is_refused(code):
    with pytest.raises(NotGs1):
        batch(code)
