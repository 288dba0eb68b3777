"""GTIN check digits, against the examples GS1 publishes. GS1's own sample numbers: never to be printed for real."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from stdnum import ean

from inventory.forms.catalogue import CandleForm
from inventory.models import Candle

PUBLISHED = [
    # number without its check digit, sum, check digit
    ("629104150021", 57, "3"),  # gs1.org, "How to calculate a check digit manually"
    ("890400021003", 63, "7"),  # GS1 India, gs1india.org/SERV/checkdgt.htm
    ("730001100001", 23, "7"),  # GS1 Sweden, gs1.se/Support/Berakna-kontrollsiffra
    ("1629104150021", 60, "0"),  # computed from the first, indicator 1: a full ten gives 0
]


def by_hand(digits: str) -> tuple[int, str]:
    """GS1's rule: by 3 and 1 in turn, so that the digit left of the check digit gets 3; then up to the next ten."""
    total = sum(int(digit) * (3 if place % 2 == 0 else 1) for place, digit in enumerate(reversed(digits)))
    return total, str(-total % 10)


@pytest.mark.parametrize(("digits", "total", "check"), PUBLISHED)
def test_published_examples(digits, total, check):
    assert by_hand(digits) == (total, check)
    assert ean.calc_check_digit(digits) == check
    assert ean.is_valid(digits + check)
    Candle(code="A", name="A", gtin=digits + check).clean()


@pytest.mark.parametrize(("digits", "total", "check"), PUBLISHED)
def test_every_other_check_digit_is_refused(digits, total, check):
    for other in set("0123456789") - {check}:
        assert not ean.is_valid(digits + other)


@given(st.integers(min_value=0, max_value=10**9 - 1).map(lambda n: f"20{n:010d}"))
def test_restricted_numbers_agree_with_the_rule(digits):
    """Numbers that begin with 20 to 29 are a house's own; the demo's are of these."""
    assert ean.calc_check_digit(digits) == by_hand(digits)[1]


def test_a_digit_mistyped_and_two_neighbours_changed_are_found():
    """What the check digit is for. (Neighbours that differ by 5 slip through: from memory.)"""
    good = "6291041500213"
    for place in range(13):
        wrong = str((int(good[place]) + 1) % 10)
        assert not ean.is_valid(good[:place] + wrong + good[place + 1 :])
    assert not ean.is_valid("6219041500213")


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("typed", "kept"),
    [("6291041500213", "6291041500213"), ("629 1041 500213", "6291041500213"), ("629-1041-500213", "6291041500213")],
)
def test_the_form_takes_blanks_and_dashes(typed, kept):
    form = CandleForm({"gtin": typed})
    form.is_valid()
    assert form.cleaned_data["gtin"] == kept


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("6291041500214", "would end in 3, not 4"),
        ("629104150021", "would end in"),  # twelve digits: a UPC of its own, whose check digit does not fit
        ("62910415002", "not 11"),
        ("62910415002X3", "Digits only"),
        ("٦٢٩١٠٤١٥٠٠٢١٣", "Digits only"),
    ],
)
def test_the_form_says_what_is_wrong(typed, said):
    form = CandleForm({"gtin": typed})
    assert said in form.errors["gtin"][0]
