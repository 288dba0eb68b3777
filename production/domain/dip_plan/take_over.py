"""A plan found becomes the plan that stands: its frames wait to be threaded, each meant for wants."""

from collections import Counter
from collections.abc import Iterable, Mapping
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from inventory.domain.records import record
from inventory.models import Candle
from inventory.words import counted
from production.dip_plan.clock import moment_done, moment_of
from production.dip_plan.codec import plan_from_json, plan_to_json, problem_from_json, problem_to_json
from production.dip_plan.explain import why_frames
from production.dip_plan.plan import Hanging, Plan
from production.dip_plan.problem import Problem
from production.domain.dip_plan.adopt import adopt, lock_standing
from production.domain.dip_plan.search import PLAN_ID, lock_plan
from production.models import Carousel, DipPlan, FrameKind, PlannedFor, PlannedFrame, PlanSearch, Vat, Want
from production.models.plan import WORKING
from production.queries.dip_list import last_kinds, usual_load
from production.queries.on_floor import living_frames

LONGEST_WHY = PlannedFrame._meta.get_field("why").max_length


@transaction.atomic
def take_over(*, search: PlanSearch, by) -> DipPlan:
    """Let the plan that a search has found stand, in place of the one before. Done twice, it is done once.

    Of a search that is on, the best plan so far is taken and the search ends. ValidationError: nothing found yet, a
    trial, or a search that was asked before the plan that stands was made.
    """
    lock_plan()
    search = PlanSearch.objects.select_for_update().get(pk=search.pk)
    if done := DipPlan.objects.filter(search=search).first():
        return done
    if search.what_if:
        raise ValidationError("That was only a trial: things are not as it took them. Search for a plan instead.")
    if not search.found:
        raise ValidationError("The search has found no plan yet.")
    if DipPlan.objects.filter(stands=True, made_at__gt=search.started_at or search.asked_at).exists():
        raise ValidationError("Another plan was made since this search began: search again.")
    if search.state == WORKING:
        search.cancel = True
        search.save(update_fields=["cancel"])
    problem, plan = problem_from_json(search.problem), plan_from_json(search.found)
    return stand(problem, plan, search.facts, by=by, search=search)


def stand(problem: Problem, plan: Plan, facts: Mapping, *, by, search: PlanSearch | None = None) -> DipPlan:
    """Write a plan as the one that stands. Needs a transaction and lock_plan; `facts` are those of its problem."""
    if not problem.days:
        raise ValidationError("There is nothing to take over: no working hours are set up.")
    before, now = lock_standing(), timezone.now()
    if before:
        DipPlan.objects.filter(pk=before.pk).update(stands=False)
    row = DipPlan.objects.create(
        search=search, begins=problem.days[0].opens, problem=problem_to_json(problem), answer=plan_to_json(plan),
        facts=facts, made_at=now, made_by=by,
    )  # fmt: skip
    frames = _planned_frames(row, problem, plan)
    _mean_for(frames, problem, plan)
    _adopt_newer(row, facts)
    what = f"Plan taken over: {counted(len(frames), 'frame')} to hang from {_said(row.begins)}"
    record(subject="dip plan", subject_id=PLAN_ID, what=what, by=by)
    return row


def _said(moment: datetime) -> str:
    local = timezone.localtime(moment)
    return f"{local:%A} {local.day} {local:%b}, {local:%H:%M}"


def _planned_frames(row: DipPlan, problem: Problem, plan: Plan) -> dict[int, PlannedFrame]:
    """A row a new frame, by its number in the plan. Frames whose candle or vat went meanwhile are left out."""
    hangings: dict[int, list[Hanging]] = {}
    for hanging in sorted(plan.hangings, key=lambda each: (each.frame, each.stage)):
        if hanging.started < 0:
            hangings.setdefault(hanging.frame, []).append(hanging)
    ready, why = {each.frame: each for each in plan.ready}, why_frames(problem, plan)
    kinds = _kinds(problem, {rows[0].item for rows in hangings.values()})
    vats = Vat.objects.in_bulk([vat.key for vat in problem.vats])
    carousels = set(Carousel.objects.values_list("pk", flat=True))
    found = {}
    for number, rows in hangings.items():
        first, item = rows[0], problem.items[rows[0].item]
        vat = problem.vats[first.vat]
        carousel = int(problem.names.get(f"carousel:{vat.key}", 0))
        if number not in ready or item.key not in kinds or vat.key not in vats or carousel not in carousels:
            continue
        found[number] = PlannedFrame(
            plan=row, number=number, candle_id=item.key, kind=kinds[item.key], pairs=item.pairs,
            counted=min(item.pairs, ready[number].pairs), vat_id=vat.key, carousel_id=carousel,
            position=first.position + 1, starts=moment_of(problem.days, first.starts),
            first_dip=moment_of(problem.days, first.first), last_dip=moment_done(problem.days, rows[-1].ends),
            rests=sum(each.nights for each in rows), hard_at=ready[number].hard, ready_on=ready[number].ready,
            why=why.get(number, "")[:LONGEST_WHY],
        )  # fmt: skip
    PlannedFrame.objects.bulk_create(found.values())
    return {each.number: each for each in PlannedFrame.objects.filter(plan=row)}


def _kinds(problem: Problem, items: Iterable[int]) -> dict[int, FrameKind]:
    """By candle: the kind of frame it hangs on, as the dip list has it."""
    candles = Candle.objects.in_bulk([problem.items[item].key for item in items])
    last, kinds = last_kinds(candles), list(FrameKind.objects.filter(active=True))
    loads = {pk: usual_load(kinds, candle, last.get(pk))[0] for pk, candle in candles.items()}
    return {pk: kind for pk, kind in loads.items() if kind}


def _mean_for(frames: Mapping[int, PlannedFrame], problem: Problem, plan: Plan) -> None:
    """What each frame is meant for; wants that went or changed their candle meanwhile are left out."""
    meant: Counter[tuple[int, int]] = Counter()
    for fill in plan.fills:
        if fill.frame in frames:
            meant[fill.frame, problem.wants[fill.want].key] += fill.pairs
    keys = {want for _, want in meant}
    rows = Want.objects.select_for_update().filter(pk__in=keys).order_by("pk")
    candles = dict(rows.values_list("pk", "candle"))
    PlannedFor.objects.bulk_create(
        PlannedFor(frame=frames[number], want_id=want, pairs=pairs)
        for (number, want), pairs in sorted(meant.items())
        if candles.get(want) == frames[number].candle_id
    )


def _adopt_newer(row: DipPlan, facts: Mapping) -> None:
    """Frames threaded since the plan was begun take the places of its frames: it could not know of them."""
    known = {int(key) for key in facts.get("floor", {})}
    for frame in living_frames().exclude(pk__in=known).order_by("pk"):
        adopt(row, frame)
