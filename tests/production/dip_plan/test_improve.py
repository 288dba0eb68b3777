"""Annealing: what it claims is what is simulated, the same for the same seed, in Python and compiled."""

from dataclasses import replace

import pytest

from production.dip_plan import compiled, search
from production.dip_plan import improve as improving
from production.dip_plan import tables as t
from production.dip_plan.check import faults
from production.dip_plan.construct import construct, first_baths
from production.dip_plan.improve import CHANCES, improve
from production.dip_plan.instances import Size, make
from production.dip_plan.simulate import AHEAD, Bench
from tests.production.dip_plan.rich_floors import rich_floor

HEAT = [100_000, 10_000, 1_000, 100]


def annealed(problem, moves: int, seed: int, *, begin=search.begin, anneal=search.anneal, numbers=list):
    bench = Bench(problem)
    flat = first_baths(bench, 5)
    state = numbers(t.new_search(bench.numbers, flat, seed))
    floor, run, push = numbers(bench.numbers), numbers(bench.run), numbers(bench.no_push)
    begin(floor, run, state, AHEAD, push)
    anneal(floor, run, state, numbers(HEAT), numbers(CHANCES), moves, AHEAD, push)
    best = [int(bath) for bath in state[state[t.S_BEST] : state[t.S_BEST] + len(flat)]]
    return bench, best, int(state[t.S_BEST_SCORE])


@pytest.mark.parametrize("seed", range(24))
def test_part_by_part_comes_to_the_same_as_the_whole(seed):
    problem = rich_floor(seed)
    bench, best, score = annealed(problem, 60, seed)
    plan = bench.plan(best)
    missed = bench.run[bench.run[t.IN_COUNT] + t.C_MISSED]
    assert score == plan.cost.total + missed * t.MISSED_COST
    assert faults(problem, plan) == []


@pytest.mark.long
def test_compiled_it_comes_to_the_same():
    """Floors with pins, hands, waxes and stages; half a minute where they are not yet kept."""
    made = compiled.loops()
    for seed in (1, 2, 5, 8):
        problem = rich_floor(seed)
        python = annealed(problem, 60, seed)
        there = annealed(problem, 60, seed, begin=made["begin"], anneal=made["anneal"], numbers=compiled.array)
        assert there[1:] == python[1:]


@pytest.fixture(autouse=True)
def few_moves(monkeypatch):
    monkeypatch.setattr(improving, "CELL_MOVES", 10)


@pytest.fixture(scope="module")
def small():
    return make(Size(12, 5, 3, 2, 6), seed=3)


def test_the_same_seed_gives_the_same_plan(small):
    start = construct(small)
    once, again = (improve(small, start, effort="quick", seed=7) for _ in range(2))
    assert once == again
    assert once.cost.total <= start.cost.total
    assert once.claimed == once.cost.total
    assert faults(small, once) == []
    assert (once.effort, once.seed, once.cut) == ("quick", 7, False)


def test_it_tells_how_far_it_is_and_stops_when_told(small):
    start, told = construct(small), []
    plan = improve(
        small,
        start,
        effort="quick",
        seed=1,
        tell=lambda done, in_all, best: told.append((done, in_all, best.cost.total)),
        stop=lambda: len(told) >= 3,
    )
    assert [done for done, *_ in told] == sorted({done for done, *_ in told})
    assert len(told) == 3
    assert told[0][1] > told[-1][0] >= plan.moves > 0
    assert plan.cost.total == told[-1][2]


def test_the_clock_only_cuts_and_the_plan_says_so(small):
    plan = improve(small, construct(small), effort="quick", seed=1, clock_s=0)
    assert plan.cut
    assert plan.moves == 0


def test_nothing_to_choose_is_no_search(small):
    start = construct(replace(small, wants=(), started=()))
    assert improve(replace(small, wants=(), started=()), start, effort="normal", seed=1).moves == 0


def test_an_effort_without_a_name_is_refused(small):
    with pytest.raises(ValueError, match="no effort 'huge'"):
        improve(small, construct(small), effort="huge", seed=1)
