"""Plans of the book with the problems they answer, as the planner's own data."""

from dataclasses import dataclass

from production.dip_plan.codec import plan_from_json, problem_from_json
from production.dip_plan.plan import Plan
from production.dip_plan.problem import Problem
from production.models import DipPlan, PlanSearch

MOST_KEPT = 2
_kept: dict[tuple, tuple[Problem, Plan]] = {}


@dataclass(frozen=True)
class Read:
    """A plan with the problem it answers. `row`: the DipPlan that stands, None for one that was only found."""

    problem: Problem
    plan: Plan
    row: DipPlan | None = None


def read_plan(row: DipPlan) -> Read:
    """A plan is never changed once it stands, and the floor's tablets ask for it every few seconds: it is kept."""
    key = row.pk, row.made_at
    if key not in _kept:
        while len(_kept) >= MOST_KEPT:
            _kept.pop(next(iter(_kept)), None)
        _kept[key] = problem_from_json(row.problem), plan_from_json(row.answer)
    return Read(*_kept[key], row)


def read_found(search: PlanSearch) -> Read | None:
    """The best plan of a search so far; None where it has none yet."""
    if not search.found or not search.problem:
        return None
    return Read(problem_from_json(search.problem), plan_from_json(search.found))
