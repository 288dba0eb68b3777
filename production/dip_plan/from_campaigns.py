"""A table of baths out of the answers that the bound's prices met: one answer a colour, chosen together. No Django.

The bound knows which runs of half-days are worth their change-overs. One whole answer for each colour, so that there
are vats enough, is a table of few long campaigns to improve on; it is no plan before it is simulated.
"""

from itertools import permutations

from ortools.sat.python import cp_model

from production.dip_plan.bound import TOO_LARGE, best_prices, states
from production.dip_plan.campaigns import Colour, Column, colours_of
from production.dip_plan.problem import LATE, MINUTE, Problem

EFFORT = 2.0  # deterministic seconds
MOST_TRIED = 5  # vats whose new baths are tried in every order


def table_from_campaigns(problem: Problem, effort: float = EFFORT) -> tuple[tuple[int, ...], ...] | None:
    """Baths by [vat][half-day]; None where no answers fit together, or the floor is too large for prices."""
    colours = colours_of(problem)
    if not colours or states(colours) > TOO_LARGE:
        return None
    columns = best_prices(problem, colours, late=1.0, minute=MINUTE).columns
    chosen = _choose(problem, colours, columns, effort)
    return None if chosen is None else _by_vat(problem, chosen)


def _choose(problem: Problem, colours: tuple[Colour, ...], columns, effort: float) -> list[Column] | None:
    minutes = {colour.bath: colour.minutes for colour in colours}
    model = cp_model.CpModel()
    picks = [model.new_bool_var("") for _ in columns]
    for colour in colours:
        model.add_exactly_one(
            pick for pick, column in zip(picks, columns, strict=True) if column.colour == colour.bath
        )
    for half in range(len(problem.halves)):
        model.add(
            sum(pick * column.vats[half] for pick, column in zip(picks, columns, strict=True) if column.vats[half])
            <= len(problem.vats)
        )
    model.minimize(
        sum(
            pick * round(column.late + MINUTE * minutes[column.colour] * column.changes)
            for pick, column in zip(picks, columns, strict=True)
        )
    )
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_deterministic_time = effort
    if solver.solve(model) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    return [column for pick, column in zip(picks, columns, strict=True) if solver.boolean_value(pick)]


def _by_vat(problem: Problem, chosen: list[Column]) -> tuple[tuple[int, ...], ...]:
    """Vats keep their bath where they can; one that nobody asks for keeps the one it has."""
    now = [vat.bath for vat in problem.vats]
    rows = [[] for _ in problem.vats]
    for half in range(len(problem.halves)):
        asked = {column.colour: column.vats[half] for column in chosen if column.vats[half]}
        free = []
        for vat, bath in enumerate(now):
            if asked.get(bath, 0) > 0:
                asked[bath] -= 1
            else:
                free.append(vat)
        fresh = [bath for bath, count in sorted(asked.items()) for _ in range(count)]
        for vat, bath in _cheapest_pairing(problem, now, free, fresh):
            now[vat] = bath
        for vat, bath in enumerate(now):
            rows[vat].append(bath)
    return tuple(tuple(row) for row in rows)


def _cheapest_pairing(problem: Problem, now: list[int], free: list[int], fresh: list[int]) -> list[tuple[int, int]]:
    """Which of the free vats takes which new bath: cheapest change-overs, none that a vat may not hold."""
    if len(free) > MOST_TRIED:
        return _one_by_one(problem, now, free, fresh)
    best, least = [], None
    for vats in permutations(free, min(len(free), len(fresh))):
        pairs = [(vat, bath) for vat, bath in zip(vats, fresh, strict=False) if bath in problem.vats[vat].may_hold]
        cost = sum(problem.change_s[now[vat]][bath] for vat, bath in pairs) + LATE * 60 * (len(fresh) - len(pairs))
        if least is None or cost < least:
            best, least = pairs, cost
    return best


def _one_by_one(problem: Problem, now: list[int], free: list[int], fresh: list[int]) -> list[tuple[int, int]]:
    pairs, left = [], list(free)
    for bath in fresh:
        able = [vat for vat in left if bath in problem.vats[vat].may_hold]
        if able:
            vat = min(able, key=lambda vat: (problem.change_s[now[vat]][bath], vat))
            left.remove(vat)
            pairs.append((vat, bath))
    return pairs
