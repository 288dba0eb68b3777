"""Carriage as sums, without a database: every expected figure was computed by hand."""

from decimal import Decimal

import pytest

from orders.carriage import Load, Rule, charge_carriage, in_words, load_of

D = Decimal
NOTHING = Load(0, D(0))


@pytest.mark.parametrize(
    ("goods", "charge", "free_above", "amount", "why"),
    [
        ("249.99", "8.50", "250", "8.50", ""),
        ("250.00", "8.50", "250", "0.00", "free from goods of 250.00; it comes to 250.00"),
        ("900", "8.50", None, "8.50", ""),
        ("0", "8.50", None, "0.00", ""),  # nothing ordered, nothing carried
        ("0", "8.50", "0", "0.00", ""),
        ("10", "0", None, "0.00", "carriage free"),
        ("10", "8.505", None, "8.51", ""),
    ],
)
def test_flat(goods, charge, free_above, amount, why):
    rule = Rule("flat", D(charge), free_above=D(free_above) if free_above else None)
    found = charge_carriage(rule, D(goods), NOTHING)
    assert (found.amount, found.why) == (D(amount), why)


@pytest.mark.parametrize(
    ("grams", "amount", "kilos"),
    [("20000", "17.00", "20.0"), ("20001", "25.50", "20.1"), ("1", "8.50", "0.1")],
)
def test_by_weight_each_started_step_counts(grams, amount, kilos):
    found = charge_carriage(Rule("weight", D("8.50"), kilos=10), D(100), Load(2, D(grams)))
    assert (found.amount, found.why) == (D(amount), f"{kilos} kg with boxes, 8.50 for each started 10 kg")


def test_by_box():
    found = charge_carriage(Rule("box", D("4.25")), D(100), Load(3, D(0)))
    assert (found.amount, found.why) == (D("12.75"), "3 boxes at 4.25")
    assert charge_carriage(Rule("box", D("4.25")), D(100), Load(1, D(0))).why == "1 box at 4.25"


@pytest.mark.parametrize("by", ["weight", "box"])
def test_free_above_holds_for_every_way(by):
    assert charge_carriage(Rule(by, D(5), free_above=D(100)), D(100), Load(9, D(90000))).amount == 0


def test_candles_share_boxes_and_the_boxes_weigh():
    # 36 of 36 a box, 12 of 24, 6 of 24: 1.75 boxes, so two; 36 x 160 + 18 x 95.5 + 2 x 250 = 7,979 g.
    load = load_of([(36, 36, D(160)), (12, 24, D("95.5")), (6, 24, D("95.5"))], 250)
    assert (load.boxes, load.grams, load.kilos) == (2, D("7979.0"), D("8.0"))


def test_thirds_of_boxes_add_up_to_whole_ones():
    assert load_of([(12, 36, D(1))] * 3, 0).boxes == 1


def test_nothing_fills_no_box():
    assert load_of([(0, 36, D(160))], 250) == Load(0, D(0))
    assert load_of([], 250) == Load(0, D(0))


@pytest.mark.parametrize(
    ("rule", "words"),
    [
        (Rule("flat", D("8.50"), free_above=D(250)), "8.50 an order, free from goods of 250.00"),
        (Rule("box", D(4)), "4.00 a box"),
        (Rule("weight", D(9), kilos=20), "9.00 for each started 20 kg"),
        (Rule("box", D(0)), "carriage free"),
    ],
)
def test_the_rule_in_words(rule, words):
    assert in_words(rule) == words
