"""What no plan can beat: on lateness, change-over minutes and frames apart, and summed. No Django.

The bound is one of a relaxation (backlog.py, campaigns.py): whole frames and whole vats, each colour's set-ups at its
cheapest, work flowing without gaps; what it leaves out is how frames pack on positions and which colour follows which.
"""

from dataclasses import dataclass
from math import ceil

import numpy as np
from ortools.linear_solver import pywraplp

from production.dip_plan.backlog import certain_cost
from production.dip_plan.campaigns import Colour, Column, answer, colours_of, units_of
from production.dip_plan.plan import Bound, Plan
from production.dip_plan.problem import LATE, MINUTE, Problem

ROUNDS = 400  # of prices; seasons take about 40
CLOSE = 1e-3  # prices are good enough where the programme and the bound are this near
LEAN = 0.7  # how far new prices lean towards the best so far, against swinging (Wentges, from memory)
SHORTAGE = 5000.0  # a vat's half-day that is not there costs so much in the programme, never in the bound
TOO_LARGE = 60_000_000  # states of all colours' programmes together: about a minute a round


@dataclass(frozen=True)
class Prices:
    """The bound reached, the prices that prove it, and the answers met on the way."""

    least: float
    price: np.ndarray
    columns: tuple[Column, ...]


def prove(problem: Problem, plan: Plan | None = None) -> Bound:
    """Bounds for every plan of the problem; with `plan`, minutes are bounded for the plans no later than that one.

    A plan that lets everything be late needs no change-over, so minutes alone have no bound of their own.
    """
    colours = colours_of(problem)
    certain = certain_cost(problem)
    if not colours or not problem.halves:
        return Bound(certain // LATE, 0, 0, certain, "Nothing is to be hung, so only what is late already counts.")
    if states(colours) > TOO_LARGE:
        return Bound(None, None, 0, None, "No useful bound is known for a floor as large as this.")
    late = best_prices(problem, colours, late=1.0, minute=0.0).least
    both = best_prices(problem, colours, late=1.0, minute=MINUTE)
    minutes = None
    if plan is not None:
        minutes = max(0, _up(both.least + certain - LATE * plan.cost.late))
    return Bound(_up((late + certain) / LATE), minutes, 0, _up(both.least + certain), _how(plan))


def _how(plan: Plan | None) -> str:
    words = (
        "Each colour planned by itself at the best price of a vat's half-day: whole frames and vats, cheapest change"
    )
    return f"{words}; minutes for plans no later than this one." if plan is not None else f"{words}."


def _up(value: float) -> int:
    """Costs are whole numbers; a hair is left for the floating point."""
    return ceil(value - 1e-4 - 1e-9 * abs(value))


def states(colours: tuple[Colour, ...]) -> int:
    """What one round of prices looks at, to be compared with TOO_LARGE."""
    return sum(colour.cost.size * (colour.vats + 1) ** 2 for colour in colours)


def best_prices(problem: Problem, colours: tuple[Colour, ...], *, late: float, minute: float) -> Prices:
    """Prices of half-days for which the colours' cheapest answers cost the most. Rounds are counted, not the clock."""
    units, vats = units_of(problem), len(problem.vats)
    programme = Programme(problem, colours, vats)
    price = best = np.zeros(len(units))
    least, columns = -np.inf, []
    for _ in range(ROUNDS):
        total, fresh = -vats * price.sum(), 0
        for at, colour in enumerate(colours):
            cost, column = answer(colour, units, late, minute, price)
            total += cost
            fresh += programme.add(at, column, late * column.late + minute * colour.minutes * column.changes)
            columns.append(column)
        if total > least:
            least, best = total, price
        value, own = programme.solve()
        if value - least < CLOSE * max(1.0, abs(value)):
            break
        price = LEAN * best + (1 - LEAN) * own if fresh else own
    return Prices(least, best, tuple(dict.fromkeys(columns)))


class Programme:
    """The linear programme over the answers so far: one mixture of answers a colour, not more vats than there are."""

    def __init__(self, problem: Problem, colours: tuple[Colour, ...], vats: int):
        self.solver = pywraplp.Solver.CreateSolver("GLOP")
        infinity = self.solver.infinity()
        self.rooms = [self.solver.Constraint(-infinity, vats) for _ in problem.halves]
        self.picks = [self.solver.Constraint(1, 1) for _ in colours]
        self.solver.Objective().SetMinimization()
        self.known = set()
        for room in self.rooms:
            short = self.solver.NumVar(0, infinity, "")
            room.SetCoefficient(short, -1)
            self.solver.Objective().SetCoefficient(short, SHORTAGE)

    def add(self, at: int, column: Column, cost: float) -> bool:
        """False where the answer is in it already."""
        if (at, column.vats) in self.known:
            return False
        self.known.add((at, column.vats))
        share = self.solver.NumVar(0, self.solver.infinity(), "")
        self.solver.Objective().SetCoefficient(share, cost)
        self.picks[at].SetCoefficient(share, 1)
        for room, vats in zip(self.rooms, column.vats, strict=True):
            if vats:
                room.SetCoefficient(share, vats)
        return True

    def solve(self) -> tuple[float, np.ndarray]:
        """Its value, and the price of each half-day, none below 0."""
        if self.solver.Solve() != pywraplp.Solver.OPTIMAL:
            raise ArithmeticError(
                "the linear programme over campaigns has no answer, though one column a colour is one"
            )
        value = self.solver.Objective().Value()
        return value, np.array([max(0.0, -room.dual_value()) for room in self.rooms])
