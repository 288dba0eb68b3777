"""Better plans: annealing on the table of baths, counted in moves. No Django.

The same problem, start, effort and seed give the same plan, bit for bit: whole numbers, dice of our own, and no look
at the clock but to cut (`clock_s`, then the plan says `cut`). Several runs from different dice, each cooling down; the
best of them is cooled once more from half way. Every move is simulated, so what the search claims is what it is.
"""

import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from math import log

from production.dip_plan import tables as t
from production.dip_plan.loops import loops_for, table_of
from production.dip_plan.plan import Plan
from production.dip_plan.problem import Problem
from production.dip_plan.simulate import AHEAD, Bench

Tell = Callable[[int, int, Plan], None]

RUNS = 2  # that start afresh, before the best of them goes on
CHUNKS, TELLINGS = 120, 24  # of a search: looks at the clock and at `stop`, and at most so many plans told of
SHARE = {"quick": 1, "normal": 10, "long": 50}
FRAME_MOVES, CELL_MOVES = 18_000_000, 200  # a share of effort: moves times frames, and moves a vat's half-day at most
HOT, COLD = 1000, 3  # heat: of the start's cost a thousandth at first, at last three minutes of change-over
CHANCES = [int(-log((at + 0.5) / 1024) * 1024) for at in range(1024)]


def improve(
    problem: Problem,
    start: Plan,
    *,
    effort: str,
    seed: int,
    tell: Tell | None = None,
    stop: Callable[[], bool] | None = None,
    clock_s: float | None = None,
) -> Plan:
    """The best plan found from `start` with so much effort (a name of SHARE), never worse than it.

    `tell(moves done, moves in all, best plan)` now and then; `stop()` true ends it, `clock_s` seconds cut it.
    ValueError for an effort that has no name.
    """
    if effort not in SHARE:
        raise ValueError(f"there is no effort {effort!r}; there are {', '.join(SHARE)}")
    bench = Bench(problem)
    in_all = moves_for(bench, effort)
    search = _Search(bench, start, in_all, seed, tell, stop, clock_s)
    if in_all:
        search.go()
    plan = search.plan()
    return replace(plan, effort=effort, seed=seed, moves=search.done, cut=search.cut)


def moves_for(bench: Bench, effort: str) -> int:
    """So many moves are made with this effort: fewer where each costs more, and none where nothing can be chosen."""
    floor = bench.floor.size
    cells = sum(lock < 0 for lock in bench.floor.locked)
    if floor[t.N_BATHS] < 2 or not cells or not bench.no_push:
        return 0
    share = SHARE[effort]
    return max(CHUNKS, min(share * FRAME_MOVES // len(bench.no_push), share * CELL_MOVES * cells))


@dataclass
class _Best:
    score: int
    flat: list[int]


class _Search:
    """Runs one after the other, in chunks; what is best so far can be had at any time."""

    def __init__(self, bench, start, in_all, seed, tell, stop, clock_s):
        self.bench, self.in_all, self.seed = bench, in_all, seed
        self.tell, self.stop = tell, stop
        self.until = None if clock_s is None else time.monotonic() + clock_s
        self.done, self.told, self.cut = 0, -1, False
        self.start = bench.settle(start.baths)
        self.claims = start if bench.table(self.start) == start.baths else None
        self.best = _Best(self._cost(self.start), self.start)

    def _cost(self, flat: list[int]) -> int:
        total = self.bench.cost(flat).total
        run = self.bench.run
        return total + run[run[t.IN_COUNT] + t.C_MISSED] * t.MISSED_COST

    def go(self) -> None:
        if self._ends():
            return
        loops = loops_for(self.in_all, len(self.bench.no_push))
        floor, run = loops.numbers(self.bench.numbers), loops.numbers(self.bench.run)
        push, chances = loops.numbers(self.bench.no_push), loops.numbers(CHANCES)
        hot = max(20 * COLD, min(self.best.score, t.MISSED_COST) // HOT)
        chunk = -(-self.in_all // CHUNKS)
        first = CHUNKS * 3 // (4 * RUNS)  # chunks of each fresh run; a quarter is kept for the best
        runs = [(self.start, hot, first)] * RUNS + [(None, max(10 * COLD, hot // 10), CHUNKS - RUNS * first)]
        for number, (table, heat, chunks) in enumerate(runs):
            flat = table or self.best.flat
            state = loops.numbers(t.new_search(self.bench.numbers, flat, self.seed * 31 + number))
            loops.begin(floor, run, state, AHEAD, push)
            for at in range(chunks):
                if self._ends():
                    return
                steps = loops.numbers(_cooling(heat, at, chunks))
                loops.anneal(floor, run, state, steps, chances, chunk, AHEAD, push)
                self.done += chunk
                self._look(state)

    def _look(self, state) -> None:
        if int(state[t.S_BEST_SCORE]) < self.best.score:
            self.best = _Best(int(state[t.S_BEST_SCORE]), table_of(state, t.S_BEST, len(self.start)))
        telling = self.done * TELLINGS // max(1, self.in_all)
        if self.tell and telling > self.told:
            self.told = telling
            self.tell(min(self.done, self.in_all), self.in_all, self.plan())

    def _ends(self) -> bool:
        if self.until is not None and time.monotonic() >= self.until:
            self.cut = True
        return self.cut or bool(self.stop and self.stop())

    def plan(self) -> Plan:
        """The best plan so far; the one it started from where nothing better was found."""
        plan = self.bench.plan(self.best.flat)
        worse = self.claims is not None and self.claims.cost.total < plan.cost.total
        return self.claims if worse else plan


def _cooling(hot: int, chunk: int, chunks: int) -> list[int]:
    """Heat over one chunk, in hundredths of cost: it falls by the same share with every step."""
    steps = 8
    fall = (COLD / hot) ** (1 / max(1, chunks * steps - 1))
    return [max(1, int(100 * hot * fall ** (chunk * steps + at))) for at in range(steps)]
