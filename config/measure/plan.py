"""The dip plan's measures: how good, how soon, how sure. On made-up floors; medians over seeds, spread told apart.

Baselines: of a plan's cost, what is proven or the first plan; of a time, one bare simulation in the same run. Costs
are those of simulated plans that the independent checker passed; one fault and the measure stops. Times are of the
processor, and searches are counted in moves (the effort named normal), so that a busy machine gives the same figures.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import timedelta
from random import Random

from config.measure.plan_growth import growth_rows, memory_rows
from config.measure.row import Row, middle, spread, tell, timed
from production.dip_plan.asking import asking
from production.dip_plan.bound import prove
from production.dip_plan.check import faults
from production.dip_plan.construct import construct
from production.dip_plan.half_days import least_by_half_days
from production.dip_plan.improve import improve
from production.dip_plan.instances import make
from production.dip_plan.plan import Bound, Plan
from production.dip_plan.problem import Problem, Want
from production.dip_plan.ready_by import answer
from production.dip_plan.repair import repair
from production.dip_plan.simulate import Bench

PROOF_S = 20.0  # of the clock, for a bound by half-days


@dataclass(frozen=True)
class Found:
    """A floor with its first plan, its good one, and the seconds each took."""

    problem: Problem
    first: Plan
    first_s: float
    plan: Plan
    plan_s: float


def rows(*, quick: bool = False) -> Iterator[Row]:
    """All of them, in the order of the aims; with `quick` few seeds and a second each, to see that they run."""
    _search("small", 1, 0.55, 6, effort="normal")  # loops are compiled once
    sizes = ("small", "small") if quick else ("season", "big")
    effort, (season, big) = "quick" if quick else "normal", sizes
    yield from _small_rows((1,) if quick else (1, 2, 3, 4, 5), effort)
    for turn in (6, 2):
        yield from _season_rows(season, turn, _seeds(quick, turn), effort)
    yield from _busy_rows(season, 6, 2 if quick else 10, effort)
    yield from _busy_rows(season, 2, 2 if quick else 3, effort)
    for name, asked, aim_ms in ((season, 100, 100), (big, 40, 1000)):
        yield from _asking_rows(name, 10 if quick else asked, aim_ms)
    if not quick:
        yield from memory_rows()
        yield from growth_rows()


def _seeds(quick: bool, turn: int) -> tuple[int, ...]:
    return (1,) if quick else (1, 2, 3) if turn == 6 else (1,)


def _search(name: str, seed: int, load: float, turn: int, *, effort: str, dice: int = 1) -> Found:
    problem = make(name, seed, load, turn)
    first, first_s = timed(construct, problem)
    plan, plan_s = timed(improve, problem, first, effort=effort, seed=dice)
    for checked in (first, plan):
        if wrong := faults(problem, checked):
            raise ArithmeticError(f"{name}, seed {seed}: {wrong[0]}")
    tell(
        f"{name} {seed} load {load} turn {turn} min, dice {dice}: {first.cost.total} -> {plan.cost} in {plan_s:.0f} s"
    )
    return Found(problem, first, first_s, plan, plan_s)


def _gap(cost: int, least: float) -> float:
    return 100 * (cost - least) / cost if cost else 0.0


def _small_rows(seeds: tuple[int, ...], effort: str) -> Iterator[Row]:
    found = [_search("small", seed, 0.72, 6, effort=effort) for seed in seeds]
    least = [max(prove(one.problem).total, least_by_half_days(one.problem, seconds=PROOF_S)) for one in found]
    gaps = [_gap(one.plan.cost.total, bound) for one, bound in zip(found, least, strict=True)]
    costs = [one.plan.cost.total for one in found]
    words = f"proven by half-days; gaps {', '.join(f'{gap:.1f}' for gap in gaps)}"
    yield Row("small: cost above what is proven", middle(gaps), "%", aim=5, note=words)
    yield Row("small: good plan", middle([one.plan_s for one in found]), "s", aim=5)
    yield Row("small: cost", middle(costs), "", middle(least), "bound")
    worst = max(abs(one.plan.claimed - one.plan.cost.total) / max(1, one.plan.cost.total) for one in found)
    yield Row("small: simulated cost against the search's claim", 100 * worst, "%", aim=5, note="worst of all seeds")


def _season_rows(name: str, turn: int, seeds: tuple[int, ...], effort: str) -> Iterator[Row]:
    found = [_search(name, seed, 0.55, turn, effort=effort) for seed in seeds]
    bounds = [prove(one.problem, one.plan) for one in found]
    bare = middle([_bare_s(one.problem, one.plan) for one in found])
    at = f"{name}, 55 %, turn {turn} min"
    yield Row(f"{at}: first plan", middle([one.first_s for one in found]), "s", bare, "s a simulation", 0.2)
    yield Row(f"{at}: good plan", middle([one.plan_s for one in found]), "s", bare, "s a simulation", 20)
    pairs = [sum(want.pairs for want in one.problem.wants) for one in found]
    late = [one.plan.cost.late / wanted for one, wanted in zip(found, pairs, strict=True)]
    yield Row(f"{at}: weighted late pair-days a wanted pair", middle(late), "", aim=0.0002)
    yield from _apart(at, found, bounds)
    gaps = [_gap(one.plan.cost.total, bound.total or 0) for one, bound in zip(found, bounds, strict=True)]
    yield Row(f"{at}: cost above the summed bound", middle(gaps), "%", aim=30, note=bounds[0].how)
    worst = max(abs(one.plan.claimed - one.plan.cost.total) / max(1, one.plan.cost.total) for one in found)
    yield Row(f"{at}: simulated cost against the search's claim", 100 * worst, "%", aim=5)


def _apart(at: str, found: list[Found], bounds: list[Bound]) -> Iterator[Row]:
    for field, unit, words in (
        ("late", "pair-days", "weighted late"),
        ("change_minutes", "min", "change-over"),
        ("over", "frames", "frames over"),
    ):
        values = middle([getattr(one.plan.cost, field) for one in found])
        least = middle([getattr(bound, field) for bound in bounds])
        yield Row(f"{at}: {words}", values, unit, least, "bound")


def _busy_rows(name: str, turn: int, dice: int, effort: str) -> Iterator[Row]:
    found = [_search(name, 1, 0.72, turn, effort=effort, dice=number + 1) for number in range(dice)]
    costs, first = [one.plan.cost.total for one in found], found[0].first.cost.total
    at = f"{name}, 72 %, turn {turn} min"
    least = prove(found[0].problem).total
    middling = middle(costs)
    yield Row(f"{at}: first plan's cost by the good one's", first / max(1, middling), "times", aim=20, at_least=True)
    yield Row(f"{at}: cost", middling, "", least, "bound", note=f"from {min(costs)} to {max(costs)}")
    yield Row(
        f"{at}: spread of cost over {dice} seeds",
        100 * spread(costs),
        "%",
        aim=10,
        note=f"effort {effort}, {middle([one.plan_s for one in found]):.0f} s each",
    )


def _bare_s(problem: Problem, plan: Plan) -> float:
    """Seconds of one simulation of the plan's baths, nothing told and nothing kept."""
    bench = Bench(problem)
    flat = bench.settle(plan.baths)
    bench.cost(flat)
    return timed(bench.cost, flat)[1]


def _asking_rows(name: str, asked: int, aim_ms: int) -> Iterator[Row]:
    problem = make(name, 1, 0.55)
    plan, dice = construct(problem), Random(1)  # noqa: S311
    bare = _bare_s(problem, plan)
    opened, open_s = timed(asking, problem, plan)
    times = sorted(
        timed(answer, opened, dice.randrange(len(problem.items)), dice.choice((12, 24, 48, 96)))[1]
        for _ in range(asked)
    )
    p95 = 1000 * times[min(asked - 1, int(0.95 * asked))]
    opening = (
        f"median {1000 * middle(times):.1f} ms, worst {1000 * times[-1]:.0f} ms; plan opened in {1000 * open_s:.0f} ms"
    )
    yield Row(
        f"{name}: ready-by of a row, p95 of {asked}", p95, "ms", 1000 * bare, "ms a simulation", aim_ms, note=opening
    )
    want = problem.wants[len(problem.wants) // 2]
    more = Want(-1, want.item, 48, want.due + timedelta(1), 2, "one order more")
    changed = replace(problem, wants=tuple(sorted((*problem.wants, more), key=lambda one: one.due)))
    mended, mended_s = timed(repair, changed, plan)
    if wrong := faults(changed, mended):
        raise ArithmeticError(f"repair, {name}: {wrong[0]}")
    yield Row(f"{name}: repair after one order more", mended_s, "s", bare, "s a simulation", 2)
