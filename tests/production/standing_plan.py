"""A small floor with a plan that stands, early on a Monday, for the tests of the plan's pages."""

import itertools
from datetime import datetime, timedelta

from django.utils import timezone

from production.dip_plan.codec import plan_to_json, problem_to_json
from production.dip_plan.construct import construct
from production.domain.dip_plan.load import load_problem
from production.domain.dip_plan.search import lock_plan
from production.domain.dip_plan.take_over import stand
from production.models import DipPlan, PlanSearch
from production.models.plan import FOUND
from tests.production.plan_floor import MONDAY

_ticks = itertools.count()


def stop_the_clock(monkeypatch) -> datetime:
    """An hour before the floor opens. Not twice at the same microsecond: a plan is kept in memory by when it was made,
    and another test's plan may have had the same number.
    """
    moment = MONDAY + timedelta(microseconds=next(_ticks))
    monkeypatch.setattr(timezone, "now", lambda: moment)
    return moment


def let_a_plan_stand(by, now=MONDAY) -> DipPlan:
    """The first plan the planner finds of the book as it is; needs a transaction."""
    loaded = load_problem(days=5, now=now)
    lock_plan()
    return stand(loaded.problem, construct(loaded.problem), loaded.facts, by=by)


def make_search(by, *, state=FOUND, found=True, now=MONDAY, **fields) -> PlanSearch:
    """A search of the book as it is, with the first plan in it if `found`."""
    values = {"asked_at": now, "asked_by": by, "started_at": now, "moves": 30, "moves_in_all": 100, **fields}
    if found:
        loaded = load_problem(days=5, now=now, what_if=values.get("what_if"))
        values |= {
            "problem": problem_to_json(loaded.problem),
            "facts": loaded.facts,
            "found": plan_to_json(construct(loaded.problem)),
        }
    return PlanSearch.objects.create(state=state, **values)
