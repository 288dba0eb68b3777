"""Plans of the book with the problems they answer, as the planner's own data."""

from dataclasses import dataclass

from production.dip_plan.codec import plan_from_json, problem_from_json
from production.dip_plan.plan import Plan
from production.dip_plan.problem import Problem
from production.models import DipPlan, PlanSearch


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
