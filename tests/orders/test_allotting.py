"""The rule and its reasons, without a database."""

from datetime import date
from itertools import permutations

import pytest

from orders.allotting import LineDemand, LotFacts, OrderDemand, allot, lots_in_words
from orders.most_complete import choose_most_complete, worth

DAY = date(2026, 12, 4)


def lot(id, free, *, candle=1, grade="firsts", run="", day=1, held=0):
    return LotFacts(id, f"R{id}", candle, grade, date(2026, 10, day), run, free, held)


def order(number, *needs, ship_by=DAY, rank=5, complete_only=False, grade="firsts", holds=()):
    """`needs`: pairs of candle 1, 2, ... a line each."""
    lines = tuple(LineDemand(number * 10 + n, n, pairs, tuple(holds)) for n, pairs in enumerate(needs, 1) if pairs)
    return OrderDemand(number, ship_by, rank, date(2026, 11, 20), complete_only, grade, lines)


def got(allotment):
    return {line.order: line.pairs for line in allotment.lines}


def reason(allotment, number):
    return allotment.of_order(number)[0].why


def test_date_goes_before_rank_and_rank_before_age():
    orders = [order(3, 10, ship_by=date(2026, 12, 9), rank=1), order(2, 10, rank=5), order(1, 10, rank=6)]
    assert got(allot(orders, [lot(1, 15)])) == {2: 10, 1: 5, 3: 0}


def test_the_order_in_which_facts_come_does_not_matter():
    orders = [order(1, 10, 5), order(2, 10, complete_only=True), order(3, 7, ship_by=date(2026, 12, 1))]
    lots = [lot(1, 9, run="a"), lot(2, 9, day=2), lot(3, 3, candle=2)]
    results = {allot(o, k) for o in permutations(orders) for k in permutations(lots)}
    assert len(results) == 1


def test_the_oldest_lot_goes_first():
    result = allot([order(1, 30)], [lot(1, 20, day=5), lot(2, 20, day=2)])
    assert result.lines[0].takes == ((2, 20), (1, 10))
    assert result.lines[0].why == "two lots, oldest first"


def test_a_line_is_of_one_run_where_a_run_holds_enough():
    lots = [lot(1, 20, run="a", day=1), lot(2, 20, run="b", day=2), lot(3, 20, run="b", day=3)]
    result = allot([order(1, 30)], lots)
    assert result.lines[0].takes == ((2, 20), (3, 10))
    assert result.lines[0].why == "two lots of one dip run"


def test_of_two_runs_that_hold_enough_the_older_is_taken():
    lots = [lot(1, 40, run="young", day=9), lot(2, 40, run="old", day=2)]
    assert allot([order(1, 30)], lots).lines[0].takes == ((2, 30),)


def test_lots_counted_in_are_not_of_one_shade():
    lots = [lot(1, 20, day=1), lot(2, 20, day=2), lot(3, 30, day=3)]
    assert allot([order(1, 30)], lots).lines[0].takes == ((3, 30),)


def test_a_line_keeps_the_shade_it_has():
    has = lot(7, 0, run="b", day=1)
    lots = [lot(1, 20, run="a", day=1), lot(2, 20, run="b", day=9)]
    assert allot([order(1, 12, holds=[has])], lots).lines[0].takes == ((2, 12),)


def test_a_line_of_mixed_shade_takes_the_oldest():
    has = [lot(7, 0, run="b"), lot(8, 0, run="c")]
    lots = [lot(1, 5, run="a", day=1), lot(2, 20, run="d", day=9)]
    assert allot([order(1, 12, holds=has)], lots).lines[0].takes == ((1, 5), (2, 7))


def test_complete_only_takes_nothing_and_the_next_takes_all():
    result = allot([order(1, 10, 10, complete_only=True), order(2, 10)], [lot(1, 10), lot(2, 4, candle=2)])
    assert got(result) == {1: 0, 2: 10}
    assert {part.why for part in result.of_order(1)} == {"waits: takes complete deliveries only and 6 are missing"}


def test_complete_only_counts_two_lines_of_one_candle_together():
    twice = OrderDemand(1, DAY, 5, DAY, True, "firsts", (LineDemand(1, 1, 6), LineDemand(2, 1, 6)))
    assert allot([twice], [lot(1, 11)]).pairs == 0
    assert allot([twice], [lot(1, 12)]).pairs == 12
    assert allot([twice], [lot(1, 11)]).lines[0].why.endswith("1 is missing")


def test_of_seconds_the_oldest_goes_whatever_its_shade():
    lots = [lot(1, 5, grade="seconds", run="a", day=1), lot(2, 20, grade="seconds", run="b", day=9)]
    assert allot([order(1, 12, grade="seconds")], lots).lines[0].takes == ((1, 5), (2, 7))


def test_seconds_and_firsts_stay_apart():
    lots = [lot(1, 10, grade="seconds"), lot(2, 3)]
    result = allot([order(1, 10), order(2, 4, grade="seconds")], lots)
    assert [line.takes for line in result.lines] == [((2, 3),), ((1, 4),)]


@pytest.mark.parametrize(
    ("orders", "words"),
    [
        ([order(1, 20, ship_by=date(2026, 12, 1))], "ordered after 1 other with an earlier date"),
        ([order(n, 7, ship_by=date(2026, 12, 1)) for n in (1, 2, 3)], "ordered after 3 others with earlier dates"),
        ([order(1, 20, rank=2)], "ordered after 1 other with an earlier date or a better rank"),
        ([order(1, 20)], "ordered after 1 other with an earlier date, a better rank or an older order"),
    ],
)
def test_who_came_before(orders, words):
    enough_for_them = sum(other.lines[0].open for other in orders)
    result = allot([*orders, order(9, 24)], [lot(1, enough_for_them)])
    assert reason(result, 9) == f"24 short: {words}"


def test_nobody_came_before():
    assert reason(allot([order(1, 24)], []), 1) == "24 short: no more free"
    assert reason(allot([order(1, 24)], [lot(1, 0, held=5)]), 1) == (
        "24 short: what else is in stock is set aside for others"
    )


def test_many_lots_are_counted_in_figures():
    assert lots_in_words([lot(n, 1) for n in range(13)]) == "13 lots, oldest first"


def test_most_complete_finds_what_the_turn_misses():
    orders = [order(1, 30, ship_by=date(2026, 12, 1)), order(2, 15), order(3, 15)]
    lots = [lot(1, 30)]
    assert allot(orders, lots).complete == {1}
    choice = choose_most_complete(orders, lots)
    assert (choice.numbers, choice.proven) == ({2, 3}, True)
    chosen = allot(orders, lots, first=choice.numbers)
    assert (chosen.complete, chosen.pairs) == ({2, 3}, 30)
    assert reason(chosen, 1) == "30 short: ordered after 2 others that can be completed"


def test_of_equal_sets_the_earlier_orders_are_completed():
    orders = [order(1, 10, 10), order(2, 0, 10), order(3, 10), order(4, 10)]
    assert choose_most_complete(orders, [lot(1, 10), lot(2, 10, candle=2)]).numbers == {2, 3}


def test_one_order_more_always_weighs_heavier():
    turn = list(range(1, 9))
    assert worth(frozenset({6, 7, 8}), turn) > worth(frozenset({1, 2}), turn)


def test_an_order_that_cannot_be_completed_still_counts_in_the_turn():
    early, impossible, middle, late, last = order(1, 9), order(2, 99), order(3, 9), order(4, 9), order(5, 9)
    choice = choose_most_complete([early, impossible, middle, late, last], [lot(1, 18)])
    assert choice.numbers == {1, 3}
