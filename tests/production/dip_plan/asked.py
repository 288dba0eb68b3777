"""A plan as it is once ready-by's answers are taken at their word, for the independent checker to look at."""

from bisect import bisect_right
from dataclasses import replace

from production.dip_plan.asking import Asking, counted
from production.dip_plan.evaluate import evaluate
from production.dip_plan.plan import Plan
from production.dip_plan.problem import Problem, Want
from production.dip_plan.ready_by import Answer


def with_answers(state: Asking, plan: Plan, answers: list[Answer]) -> tuple[Problem, Plan, dict[int, int]]:
    """The problem with a want for each answer in its place, the plan with what was hung for them, and where each want
    of the old problem stands in the new one."""
    problem, room = state.problem, state.room
    wants = [(want, at) for at, want in enumerate(problem.wants)]
    for n, answer in enumerate(answers):
        new = Want(-1 - n, answer.item, answer.pairs, answer.day, 1, "asked")
        wants.insert(bisect_right([want.due for want, _ in wants], answer.day), (new, None))
    places = {old: new for new, (_, old) in enumerate(wants) if old is not None}
    added = [row.item for row in room.added if row.stage == 0]
    items = tuple(
        replace(item, counted=tuple(counted(item, n) for n in range(item.most_frames + added.count(at) + 1)))
        for at, item in enumerate(problem.items)
    )
    started = tuple(
        replace(one, promised=tuple((places[at], pairs) for at, pairs in one.promised)) for one in problem.started
    )
    problem = replace(problem, wants=tuple(want for want, _ in wants), items=items, started=started)
    baths = tuple(tuple(row) for row in room.baths)
    hangings = (*plan.hangings, *room.added)
    ready, fills, gets, cost = evaluate(problem, baths, hangings)
    return problem, Plan(baths, hangings, ready, fills, gets, cost, cost.total), places
