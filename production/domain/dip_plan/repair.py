"""The plan that stands, mended for what has changed, within a page's time. It comes out no worse than left alone."""

from django.core.exceptions import ValidationError
from django.db import transaction

from production.domain.dip_plan.frozen import carried_over
from production.domain.dip_plan.load import load_problem
from production.domain.dip_plan.search import lock_plan
from production.domain.dip_plan.take_over import stand
from production.models import DipPlan

NO_PLAN = "No plan stands yet: search for one first."


def repair_now(*, by) -> DipPlan:
    """Let the plan that stands, mended around pins and new facts, stand in its place; its first day stays.

    Nothing is locked while it is computed. ValidationError where no plan stands, or another was taken over meanwhile.
    """
    from production.dip_plan.repair import repair  # noqa: PLC0415 - the planner's own imports are few pages' need

    standing = DipPlan.objects.filter(stands=True).first()
    if standing is None:
        raise ValidationError(NO_PLAN)
    loaded = load_problem(standing=standing)
    if not loaded.problem.halves:
        raise ValidationError(" ".join(loaded.problem.said))
    plan = repair(loaded.problem, carried_over(standing, loaded.problem, loaded.clock))
    with transaction.atomic():
        lock_plan()
        if not DipPlan.objects.filter(pk=standing.pk, stands=True).exists():
            raise ValidationError("Another plan was taken over at this moment: look at it first.")
        return stand(loaded.problem, plan, loaded.facts, by=by)
