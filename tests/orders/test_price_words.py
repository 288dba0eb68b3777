"""Which list applies to whom, as sentences; no database."""

from datetime import date

import pytest

from orders.price_words import Known, how_it_stands, in_force, sentence_of, what_a_shop_pays, what_comes, who_pays_what

TODAY = date(2026, 11, 25)
LAST = Known("Trade list 2025", "GBP", "", date(2025, 2, 1), 40)
THIS = Known("Trade list 2026", "GBP", "", date(2026, 2, 1), 42)
NEXT = Known("Trade list 2027", "GBP", "", date(2027, 2, 1), 42)
FARM = Known("Farm list", "GBP", "Farm shops", date(2026, 3, 1), 1)
EURO = Known("Europe", "EUR", "", date(2026, 5, 1), 12)
ALL = [NEXT, FARM, LAST, EURO, THIS]


def test_the_newest_that_has_begun_is_in_force():
    assert in_force(ALL, TODAY) == [THIS, FARM, EURO]
    assert in_force(ALL, date(2027, 2, 1)) == [NEXT, FARM, EURO]
    assert in_force([NEXT], TODAY) == []


def test_who_pays_what():
    assert who_pays_what([], TODAY) == "Everybody pays the trade prices that stand with the candles."
    assert who_pays_what(ALL, TODAY) == (
        "Everybody pays by Trade list 2026, in force since 1 February 2026; Farm shops by Farm list for 1 candle; "
        "shops that buy in EUR by Europe."
    )


def test_what_comes():
    assert what_comes(ALL, TODAY) == "From 1 February 2027: Trade list 2027 for everybody."
    assert what_comes([THIS], TODAY) == ""


@pytest.mark.parametrize(
    ("one", "words"),
    [
        (NEXT, "begins on 1 February 2027 for everybody"),
        (THIS, "in force for everybody since 1 February 2026, until Trade list 2027 begins on 1 February 2027"),
        (LAST, "was in force for everybody from 1 February 2025 until Trade list 2026 began on 1 February 2026"),
        (FARM, "in force for Farm shops since 1 March 2026"),
        (EURO, "in force for everybody who buys in EUR since 1 May 2026"),
    ],
)
def test_how_one_list_stands(one, words):
    assert how_it_stands(one, ALL, TODAY) == words


def test_the_first_line_of_a_lists_page():
    assert sentence_of(FARM, ALL, TODAY) == "Farm list is in force for Farm shops since 1 March 2026."
    assert sentence_of(NEXT, ALL, TODAY) == "Trade list 2027 begins on 1 February 2027 for everybody."


@pytest.mark.parametrize(
    ("group", "currency", "agreed", "words"),
    [
        ("", "GBP", 0, "Trade list 2026"),
        ("Farm shops", "GBP", 0, "Farm list for 1 candle, else Trade list 2026"),
        ("", "GBP", 2, "2 agreed prices, else Trade list 2026"),
        ("", "EUR", 0, "Europe, in EUR"),
        ("", "USD", 0, "no list in USD yet"),
    ],
)
def test_what_a_shop_pays(group, currency, agreed, words):
    assert what_a_shop_pays(ALL, group, currency, agreed, TODAY) == words


def test_a_shop_without_any_list_pays_the_trade_prices():
    assert what_a_shop_pays([], "Farm shops", "GBP", 0, TODAY) == "the trade prices"
