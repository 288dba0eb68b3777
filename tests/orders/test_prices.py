"""Prices as sums, without a database: every expected figure was computed by hand."""

from datetime import date
from decimal import Decimal

import pytest

from orders.prices import (
    Agreed,
    Break,
    Item,
    List,
    PriceBook,
    SecondsRule,
    below_minimum,
    price_firsts,
    price_rows,
    price_seconds,
    raise_price,
    seconds_cost,
)

D = Decimal
IVORY = Item(candle=1, pairs_per_box=36, grams_a_pair=D("160"), trade_price=D("2.20"))
RED = Item(candle=2, pairs_per_box=24, grams_a_pair=D("95.5"), trade_price=D("2.40"))
AUTUMN = List(7, "Autumn 2026", {1: D("2.32")}, (Break(6, D(5)), Break(12, D("7.5"))))
FARM = List(8, "Farm shops", {1: D("2.10")})


def test_a_candle_on_no_list_has_its_trade_price():
    price = price_firsts(PriceBook(), IVORY, 36)
    assert (price.price, price.words, price.takes_discount, price.list) == (D("2.20"), "trade price", True, None)


@pytest.mark.parametrize(
    ("pairs", "price", "words"),
    [
        (215, "2.32", "list Autumn 2026"),  # five whole boxes and 35 pairs
        (216, "2.20", "list Autumn 2026, from 6 boxes: 5 % off 2.32"),  # 2.204
        (431, "2.20", "list Autumn 2026, from 6 boxes: 5 % off 2.32"),
        (432, "2.15", "list Autumn 2026, from 12 boxes: 7.5 % off 2.32"),  # 2.146
    ],
)
def test_a_list_and_its_box_breaks(pairs, price, words):
    found = price_firsts(PriceBook(lists=[AUTUMN]), IVORY, pairs)
    assert (found.price, found.words, found.list, found.list_price) == (D(price), words, 7, D("2.32"))


def test_breaks_of_its_own_go_before_those_for_all():
    own = List(7, "Autumn 2026", {1: D("2.00"), 2: D("2.00")}, (Break(1, D(10)), Break(4, D(2), candle=1)))
    book = PriceBook(lists=[own])
    # Three boxes of ivory: its own break begins at four, and the one for all is not its own.
    assert [price_firsts(book, IVORY, 36 * boxes).price for boxes in (3, 4)] == [D("2.00"), D("1.96")]
    assert price_firsts(book, RED, 24).price == D("1.80")
    assert price_firsts(book, RED, 24).words == "list Autumn 2026, from 1 box: 10 % off 2.00"


def test_rows_of_one_candle_count_together_towards_a_break():
    book = PriceBook(lists=[AUTUMN])
    prices = price_rows(book, [(IVORY, 108), (RED, 12), (IVORY, 108)], seconds=False)
    assert [price.price for price in prices] == [D("2.20"), D("2.40"), D("2.20")]


def test_the_groups_list_goes_before_everybodys_and_falls_back_on_it():
    both = List(7, "Autumn 2026", {1: D("2.32"), 2: D("2.55")})
    book = PriceBook(lists=[FARM, both])
    assert price_firsts(book, IVORY, 1).words == "list Farm shops"
    assert (price_firsts(book, RED, 1).price, price_firsts(book, RED, 1).words) == (D("2.55"), "list Autumn 2026")


def test_an_agreed_price_goes_before_every_list_and_break_and_is_net():
    book = PriceBook(agreed={1: Agreed(D("1.95"), date(2026, 10, 1))}, lists=[FARM, AUTUMN])
    found = price_firsts(book, IVORY, 432)
    assert (found.price, found.words, found.takes_discount) == (
        D("1.95"), "agreed price since 1 October 2026", False,
    )  # fmt: skip
    less = PriceBook(agreed={1: Agreed(D("1.95"), date(2026, 10, 1), takes_discount=True)})
    assert price_firsts(less, IVORY, 1).takes_discount


def test_another_currency_has_no_trade_price():
    book = PriceBook("EUR", lists=[List(9, "Europe", {1: D("2.90")})])
    assert price_firsts(book, IVORY, 1).price == D("2.90")
    bare = price_firsts(book, RED, 1)
    assert (bare.known, bare.price, bare.words) == (False, D("0.00"), "no price in EUR")
    assert not price_seconds(book, RED).known


@pytest.mark.parametrize(
    ("basis", "value", "price", "words"),
    [
        ("share", "50", "1.16", "seconds, 50 % of 2.32"),
        ("share", "33.3", "0.77", "seconds, 33.3 % of 2.32"),  # 0.77256
        ("box", "30", "0.83", "seconds, 30.00 a box of 36 pairs"),  # 0.8333
        ("kilo", "6.50", "1.04", "seconds, 6.50 a kilo, a pair weighs 160 g"),  # 1.04
        ("box", "0.01", "0.01", "seconds, 0.01 a box of 36 pairs"),  # never given away
    ],
)
def test_seconds_are_priced_apart(basis, value, price, words):
    book = PriceBook(lists=[AUTUMN], seconds=SecondsRule(basis, D(value)))
    found = price_seconds(book, IVORY)
    assert (found.price, found.words) == (D(price), words)


def test_half_a_penny_of_a_second_goes_up():
    book = PriceBook(seconds=SecondsRule("share", D(50)))
    assert price_seconds(book, Item(3, 24, D(100), D("2.25"))).price == D("1.13")  # 1.125


def test_boxes_give_no_break_on_seconds():
    book = PriceBook(lists=[AUTUMN], seconds=SecondsRule("share", D(50)))
    assert price_rows(book, [(IVORY, 432)], seconds=True)[0].price == D("1.16")


@pytest.mark.parametrize(
    ("basis", "words"),
    [
        ("share", "A second costs 50 % of what its candle costs as a first, half a penny rounded up."),
        ("box", "A second costs its part of a full box at 50.00, half a penny rounded up."),
        ("kilo", "A second costs its weight at 50.00 a kilo, half a penny rounded up."),
    ],
)
def test_what_seconds_cost_in_words(basis, words):
    assert seconds_cost(SecondsRule(basis, D("50.00"))) == words


@pytest.mark.parametrize(
    ("price", "percent", "step", "raised"),
    [
        ("2.20", "4", "0.01", "2.29"),  # 2.288
        ("2.20", "4", "0.05", "2.30"),
        ("2.25", "10", "0.01", "2.48"),  # 2.475, half a penny up
        ("2.05", "0", "0.05", "2.05"),
        ("2.275", "0", "0.05", "2.30"),  # halfway between 2.25 and 2.30 goes up
        ("2.20", "-50", "0.01", "1.10"),
        ("0.01", "-90", "0.01", "0.01"),
        ("0.02", "-90", "0.05", "0.05"),
    ],
)
def test_a_price_raised_by_percent(price, percent, step, raised):
    assert raise_price(D(price), D(percent), D(step)) == D(raised)


def test_a_price_raised_beyond_the_book_is_refused():
    with pytest.raises(ValueError, match=r"999,999.99 raised by 1 % is more than"):
        raise_price(D("999999.99"), D(1))


def test_the_smallest_order_warns():
    assert below_minimum(D("149.99"), D(150)) == (
        "Their smallest order is 150.00 of goods; this one comes to 149.99, 0.01 short."
    )
    assert below_minimum(D("150.00"), D(150)) == below_minimum(D(0), None) == ""
