"""Plans of the book with the problems they answer, as the planner's own data."""

from dataclasses import dataclass

from production.dip_plan.clock import half_of as half_at
from production.dip_plan.clock import second_at
from production.dip_plan.codec import plan_from_json, problem_from_json
from production.dip_plan.plan import Plan
from production.dip_plan.problem import Problem
from production.models import DipPlan, PlannedFrame, PlanSearch
from production.plan_scenes import AFTERNOON, part_of


@dataclass(frozen=True)
class Read:
    """A plan with the problem it answers. `row`: the DipPlan that stands, None for one that was only found."""

    problem: Problem
    plan: Plan
    row: DipPlan | None = None


def read_plan(row: DipPlan) -> Read:
    return Read(problem_from_json(row.problem), plan_from_json(row.answer), row)


def read_found(search: PlanSearch) -> Read | None:
    """The best plan of a search so far; None where it has none yet."""
    if not search.found or not search.problem:
        return None
    return Read(problem_from_json(search.problem), plan_from_json(search.found))


def half_of(row: PlannedFrame) -> int:
    """The half-day a planned frame is hung in: 1 the morning, 2 the afternoon, as pins count them."""
    problem = problem_from_json(row.plan.problem)
    half = problem.halves[half_at(problem, second_at(problem.days, row.starts))]
    return 2 if part_of(problem, half) == AFTERNOON else 1
