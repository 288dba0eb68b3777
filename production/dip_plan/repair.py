"""An earlier plan mended for a changed problem, within a page's time. No Django."""

from collections.abc import Sequence
from dataclasses import replace

from production.dip_plan import tables as t
from production.dip_plan.improve import CHANCES, COLD
from production.dip_plan.loops import table_of
from production.dip_plan.plan import Plan
from production.dip_plan.problem import Problem
from production.dip_plan.search import anneal, begin
from production.dip_plan.simulate import AHEAD, Bench

FRAME_MOVES, MOST_MOVES = 40_000, 1000  # moves times frames, and moves: under a second of Python on a season


def repair(problem: Problem, earlier: Plan | Sequence[Sequence[int]], *, seed: int = 1) -> Plan:
    """The earlier plan's baths (a plan of this problem's vats and half-days, or a table of them) on the changed
    problem, and what a few moves from there make of it. Never worse than the earlier baths left alone.

    Pins and frozen half-days are kept by the problem itself. In Python throughout: a page does not wait for compiling.
    """
    bench = Bench(problem)
    table = fitted(bench, earlier.baths if isinstance(earlier, Plan) else earlier)
    flat = bench.settle(table)
    if problem.halves and problem.vats and bench.no_push and len(problem.baths) > 1:
        flat = _mended(bench, flat, seed)
    return replace(bench.plan(flat), effort="repair", seed=seed)


def fitted(bench: Bench, table: Sequence[Sequence[int]]) -> list[list[int]]:
    """The table cut to this problem's half-days; where it does not reach, a vat goes on with what it holds."""
    rows, halves = [], len(bench.problem.halves)
    for at, vat in enumerate(bench.problem.vats):
        row = list(table[at][:halves]) if at < len(table) else []
        before = row[-1] if row else vat.bath
        rows.append(row + [before] * (halves - len(row)))
    return rows


def _mended(bench: Bench, flat: list[int], seed: int) -> list[int]:
    """Few moves, cold: only what is better, or hardly worse, is gone on from."""
    moves = min(MOST_MOVES, FRAME_MOVES // len(bench.no_push))
    state = t.new_search(bench.numbers, flat, seed)
    begin(bench.numbers, bench.run, state, AHEAD, bench.no_push)
    anneal(bench.numbers, bench.run, state, [100 * COLD], CHANCES, moves, AHEAD, bench.no_push)
    return table_of(state, t.S_BEST, len(flat))
