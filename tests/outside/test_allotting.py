"""Setting aside against the outside: SciPy's maximum flow for the total, brute force for the promises.

The flow through orders, lines and lots is the textbook bipartite one (common practice, no source); the solver is
scipy.sparse.csgraph.maximum_flow.
"""

from datetime import date, timedelta
from itertools import product
from random import Random

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.sparse import csr_array
from scipy.sparse.csgraph import maximum_flow

from orders.allotting import LineDemand, LotFacts, OrderDemand, allot
from orders.most_complete import choose_most_complete, worth

FIRST_DAY = date(2026, 12, 1)
GRADES = ("firsts", "seconds")


def random_case(random, orders, lots, candles):
    demand = [
        OrderDemand(
            number,
            FIRST_DAY + timedelta(days=random.randrange(9)),
            random.randint(1, 9),
            FIRST_DAY - timedelta(days=random.randrange(30)),
            complete_only=False,
            grade=random.choices(GRADES, (4, 1))[0],
            lines=tuple(
                LineDemand(number * 100 + n, random.randrange(candles), random.randint(1, 60))
                for n in range(random.randint(1, 6))
            ),
        )
        for number in range(orders)
    ]
    stock = [
        LotFacts(
            n,
            f"L{n}",
            random.randrange(candles),
            random.choice(GRADES),
            FIRST_DAY - timedelta(days=random.randrange(60)),
            random.choice(("", "run 1", "run 2", "run 3")),
            random.randint(0, 90),
        )
        for n in range(lots)
    ]
    return demand, stock


def largest_total(orders, lots):
    """Pairs a maximum flow carries: source -> line (open) -> lot of its candle and grade -> sink (free)."""
    lines = [(order, line) for order in orders for line in order.lines]
    source, sink, size = 0, 1, 2 + len(lines) + len(lots)
    capacity = np.zeros((size, size), dtype=np.int32)
    for i, (order, line) in enumerate(lines, 2):
        capacity[source, i] = line.open
        for j, lot in enumerate(lots, 2 + len(lines)):
            if (lot.candle, lot.grade) == (line.candle, order.grade):
                capacity[i, j] = line.open
    for j, lot in enumerate(lots, 2 + len(lines)):
        capacity[j, sink] = lot.free
    return maximum_flow(csr_array(capacity), source, sink).flow_value


def test_the_total_filled_is_a_maximum_flow():
    random = Random(20)
    filled = 0
    for _ in range(60):
        orders, lots = random_case(random, orders=random.randint(1, 14), lots=random.randint(0, 25), candles=5)
        result = allot(orders, lots)
        assert result.pairs == largest_total(orders, lots)
        filled += result.pairs
    assert filled > 10_000, "the cases must move pairs, or they prove nothing"


needs = st.lists(st.integers(0, 3), min_size=2, max_size=2).filter(any)
small_orders = st.lists(st.tuples(needs, st.integers(0, 2), st.integers(1, 3), st.booleans()), min_size=1, max_size=4)
small_lots = st.lists(
    st.tuples(st.integers(0, 1), st.integers(0, 4), st.sampled_from(["", "a", "b"]), st.integers(0, 3)), max_size=4
)


def made(orders, lots):
    demand = [
        OrderDemand(
            number,
            FIRST_DAY + timedelta(days=day),
            rank,
            FIRST_DAY,
            complete_only,
            "firsts",
            tuple(LineDemand(number * 10 + candle, candle, pairs) for candle, pairs in enumerate(need) if pairs),
        )
        for number, (need, day, rank, complete_only) in enumerate(orders, 1)
    ]
    stock = [
        LotFacts(n, f"L{n}", candle, "firsts", FIRST_DAY - timedelta(days=age), run, free)
        for n, (candle, free, run, age) in enumerate(lots)
    ]
    return demand, stock


def every_way(orders, free):
    """Every filling of the lines that the stock allows and that leaves complete-only orders whole or empty."""
    lines = [(order, line) for order in orders for line in order.lines]
    for filled in product(*(range(line.open + 1) for _, line in lines)):
        used, halves = dict.fromkeys(free, 0), {}
        for (order, line), pairs in zip(lines, filled, strict=True):
            used[line.candle] += pairs
            if order.complete_only:
                halves.setdefault(order.number, set()).add(pairs == line.open or (None if pairs == 0 else "part"))
        if all(used[candle] <= free[candle] for candle in free) and all(
            h in ({True}, {None}) for h in halves.values()
        ):
            yield filled


def free_by_candle(lots):
    return {candle: sum(lot.free for lot in lots if lot.candle == candle) for candle in (0, 1)}


@settings(max_examples=150, deadline=None, derandomize=True)
@given(small_orders, small_lots)
def test_nobody_later_is_served_at_the_cost_of_somebody_earlier(orders, lots):
    """The rule's promise: of all ways, the one that is greatest line by line in the rule's turn."""
    demand, stock = made(orders, lots)
    demand.sort(key=lambda order: (order.ship_by, order.rank, order.number))
    result = allot(demand, stock)
    assert tuple(part.pairs for part in result.lines) == max(every_way(demand, free_by_candle(stock)))


@settings(max_examples=150, deadline=None, derandomize=True)
@given(small_orders, small_lots)
def test_no_lot_gives_more_than_it_has_and_one_shade_is_kept_where_it_can_be(orders, lots):
    demand, stock = made(orders, lots)
    result = allot(demand, stock)
    left = {lot.id: lot.free for lot in stock}
    by_id = {lot.id: lot for lot in stock}
    for part in result.lines:
        candle = part.line % 10
        shades = {}
        for lot in stock:
            if lot.candle == candle:
                shades[lot.shade] = shades.get(lot.shade, 0) + left[lot.id]
        if part.pairs and max(shades.values()) >= part.pairs + part.short:
            assert len({by_id[lot].shade for lot, _ in part.takes}) == 1
        for lot, pairs in part.takes:
            assert by_id[lot].candle == candle
            left[lot] -= pairs
            assert left[lot] >= 0


@settings(max_examples=100, deadline=None, derandomize=True)
@given(
    st.lists(st.tuples(needs, st.integers(0, 2), st.integers(1, 3), st.booleans()), min_size=1, max_size=7), small_lots
)
def test_no_set_completes_more_orders(orders, lots):
    """Brute force over all sets of orders: most of them first, then the earlier ones."""
    demand, stock = made(orders, lots)
    demand.sort(key=lambda order: order.turn)
    free = free_by_candle(stock)

    def fits(chosen):
        used = dict.fromkeys(free, 0)
        for order, taken in zip(demand, chosen, strict=True):
            for line in order.lines:
                used[line.candle] += line.open * taken
        return all(used[candle] <= free[candle] for candle in free)

    turn = [order.number for order in demand]
    sets = [
        frozenset(number for number, taken in zip(turn, chosen, strict=True) if taken)
        for chosen in product((0, 1), repeat=len(demand))
        if fits(chosen)
    ]
    choice = choose_most_complete(demand, stock)
    assert choice.proven
    assert len(choice.numbers) == max(map(len, sets))
    assert worth(choice.numbers, turn) == max(worth(numbers, turn) for numbers in sets)
    assert allot(demand, stock, first=choice.numbers).complete == choice.numbers
