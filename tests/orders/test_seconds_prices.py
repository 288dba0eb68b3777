"""What seconds of different age cost, by each basis; every figure worked out by hand beside it."""

from decimal import Decimal

import pytest

from orders.prices import BOX, KILO, SHARE, AgeOff, Item, PriceBook, SecondsRule, price_seconds, seconds_cost
from orders.seconds_prices import Content, Lying, price_by_kilo, price_of_box, price_second_rows

TAPER = Item(1, 24, Decimal("125.00"), Decimal("2.25"))
STUB = Item(2, 40, Decimal("80.00"), Decimal("0.90"))
AGES = (AgeOff(60, Decimal(20)), AgeOff(120, Decimal("37.5")))


def book(basis=SHARE, value="50", ages=AGES, **fields) -> PriceBook:
    return PriceBook(seconds=SecondsRule(basis, Decimal(value), ages), **fields)


@pytest.mark.parametrize(
    ("days", "price", "words"),
    [
        (59, "1.13", "seconds, 50 % of 2.25"),  # 1.125, half a penny up
        (60, "0.90", "seconds, 50 % of 2.25, 20 % off from 60 days"),  # 1.125 x 0.8, not 1.13 x 0.8
        (500, "0.70", "seconds, 50 % of 2.25, 37.5 % off from 120 days"),  # 0.703125
    ],
)
def test_the_oldest_step_reached_comes_off_the_exact_price(days, price, words):
    found = price_seconds(book(), TAPER, days)
    assert (found.price, found.words) == (Decimal(price), words)


def test_steps_come_off_a_box_and_a_kilo_too():
    assert price_seconds(book(BOX, "30"), TAPER, 60).price == Decimal("1.00")  # 30 / 24 x 0.8
    assert price_seconds(book(KILO, "8"), TAPER, 60).price == Decimal("0.80")  # 8 x 0.125 x 0.8


def test_the_sentence_names_the_steps():
    said = seconds_cost(book().seconds)
    assert said.endswith("half a penny rounded up. From 60 days on 20 % comes off, from 120 days on 37.5 %.")
    assert seconds_cost(book(ages=()).seconds).endswith("rounded up.")


def test_a_row_costs_what_goes_first_costs():
    lying = {1: [Lying(10, 20), Lying(70, 4)]}
    # The 4 old ones go first: all old; then 4 x 0.90 + 2 x 1.13 = 5.86 over 6 pairs; the second row finds 18 new ones.
    four, six, next_row = [
        price_second_rows(book(), rows, lying) for rows in ([(TAPER, 4)], [(TAPER, 6)], [(TAPER, 6), (TAPER, 3)])
    ]
    assert four[0].price == Decimal("0.90")
    assert (six[0].price, six[0].words) == (Decimal("0.98"), "seconds, 50 % of 2.25, 4 of 6 cheaper by age")
    assert [price.price for price in next_row] == [Decimal("0.98"), Decimal("1.13")]


def test_what_does_not_lie_there_counts_as_new():
    (price,) = price_second_rows(book(), [(TAPER, 2)], {1: [Lying(70, 1)]})
    assert price.price == Decimal("1.02")  # (0.90 + 1.13) / 2 = 1.015
    assert price_second_rows(book(), [(TAPER, 2)], {})[0].price == Decimal("1.13")


CONTENTS = [Content(TAPER, 8, 10), Content(TAPER, 4, 70), Content(STUB, 10, 10)]


@pytest.mark.parametrize(
    ("rule", "discount", "price", "words"),
    [
        # 8 x 1.125 + 4 x 0.90 + 10 x 0.45 = 17.10
        (book(), 0, "17.10", "50 % of what its pairs cost as firsts, 4 of 22 pairs cheaper by age"),
        # less 5 %: 16.245, half a penny up
        (book(ages=()), 5, "17.10", "50 % of what its pairs cost as firsts, less 5 %"),  # 18.00 x 0.95
        # 8 x 1.25 + 4 x 1.00 + 10 x 0.75 = 21.50
        (book(BOX, "30"), 0, "21.50", "each pair its part of a full box at 30.00, 4 of 22 pairs cheaper by age"),
        # reckoned 12 x 125 + 10 x 80 = 2,300 g, the scales say 2,415: 8 a kilo is 19.32 without age;
        # with it (1000 + 400 + 800) / 2300 of that: 18.48
        (book(KILO, "8"), 0, "18.48", "2.415 kg at 8.00 a kilo, 4 of 22 pairs cheaper by age"),
    ],
)
def test_a_box_by_each_rule(rule, discount, price, words):
    found = price_of_box(rule, CONTENTS, 2415, Decimal(discount))
    assert (found.price, found.words, found.takes_discount) == (Decimal(price), words, False)


def test_a_box_costs_a_penny_a_pair_at_least():
    assert price_of_box(book(KILO, "0.01"), CONTENTS, 2300, Decimal(0)).price == Decimal("0.22")


def test_a_box_with_a_candle_that_has_no_price_in_this_currency_has_none():
    found = price_of_box(book(currency="EUR"), CONTENTS, 2300, Decimal(0))
    assert (found.known, found.words) == (False, "no price in EUR")


def test_a_price_by_the_kilo_is_rounded_once():
    assert price_by_kilo(2415, Decimal("6.50")) == Decimal("15.70")  # 15.6975
