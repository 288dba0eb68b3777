"""The set of orders that completes most of them from what is free. No Django here; OR-Tools CP-SAT does the search.

Each order is taken whole or not at all; the pairs of one candle and grade are shared by all that want them. That is a
knapsack with one limit a candle, so the rule's turn need not find the best set. Among sets that complete equally many,
the one whose orders come earlier in the rule's turn is chosen. One worker, a fixed seed and a limit counted in work
done, not in seconds: the same facts give the same set on every machine.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from orders.allotting import LotFacts, OrderDemand, allot

# CP-SAT's own measure of work, a second or more each. With 200 orders of 12 lines and stock for a third of them, 0.5
# finds as many orders as 4 does, and neither proves it.
WORK_LIMIT = 0.5


@dataclass(frozen=True)
class Choice:
    """Numbers of the orders to serve first; `proven`: no set completes more."""

    numbers: frozenset[int]
    proven: bool


def choose_most_complete(orders: Iterable[OrderDemand], lots: Iterable[LotFacts]) -> Choice:
    """The orders to complete. Never fewer than the rule's own: the search starts from those."""
    return _choose(tuple(sorted(orders, key=lambda order: order.turn)), tuple(sorted(lots, key=lambda lot: lot.id)))


# Looking at the choice and then taking it asks twice; the same facts need one search.
@lru_cache(maxsize=4)
def _choose(orders: tuple[OrderDemand, ...], lots: tuple[LotFacts, ...]) -> Choice:
    own = allot(orders, lots).complete
    free: dict[tuple, int] = defaultdict(int)
    for lot in lots:
        free[lot.candle, lot.grade] += lot.free
    needs = {order.number: _needs(order) for order in orders}
    can = [order.number for order in orders if all(n <= free[kind] for kind, n in needs[order.number].items())]
    if len(own) == len(can):
        return Choice(own, proven=True)
    turn = [order.number for order in orders]
    return _search({number: worth(frozenset([number]), turn) for number in can}, needs, free, own)


def worth(numbers: frozenset[int], turn: list[int]) -> int:
    """What the search makes as large as it can: the number of orders first, then how early they stand in `turn`.

    Standing early can at most add up to 1 + 2 + ... + n, so one order more always weighs heavier.
    """
    n = len(turn)
    return sum(n * (n + 1) // 2 + 1 + n - place for place, number in enumerate(turn) if number in numbers)


def _needs(order: OrderDemand) -> dict[tuple, int]:
    needs: dict[tuple, int] = defaultdict(int)
    for line in order.lines:
        needs[line.candle, order.grade] += line.open
    return needs


def _search(weights: dict[int, int], needs: dict, free: dict, own: frozenset[int]) -> Choice:
    # Half a second and a lot of memory, which no other page should pay for.
    from ortools.sat.python import cp_model  # noqa: PLC0415

    model = cp_model.CpModel()
    takes = {number: model.new_bool_var(f"order {number}") for number in weights}
    wanted: dict[tuple, list] = defaultdict(list)
    for number, take in takes.items():
        model.add_hint(take, number in own)
        for kind, pairs in needs[number].items():
            wanted[kind].append(pairs * take)
    for kind, parts in wanted.items():
        model.add(sum(parts) <= free[kind])
    model.maximize(sum(weights[number] * take for number, take in takes.items()))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    solver.parameters.max_deterministic_time = WORK_LIMIT
    status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Choice(own, proven=False)
    found = frozenset(number for number, take in takes.items() if solver.boolean_value(take))
    best = max(found, own, key=lambda numbers: sum(weights[number] for number in numbers))
    return Choice(best, proven=status == cp_model.OPTIMAL)
