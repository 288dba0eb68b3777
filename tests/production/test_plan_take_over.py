"""A plan found is taken over: its frames wait for wants, threading takes them up, a repair keeps the first day."""

from datetime import UTC, datetime, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from inventory.models import Record
from production.audit import breaches
from production.dip_plan.check import faults
from production.dip_plan.codec import plan_from_json, problem_from_json
from production.dip_plan.construct import construct
from production.domain.dip_plan.lease import claim
from production.domain.dip_plan.load import load_problem
from production.domain.dip_plan.repair import NO_PLAN, repair_now
from production.domain.dip_plan.run import run_search
from production.domain.dip_plan.search import ask_search
from production.domain.dip_plan.take_over import take_over
from production.domain.frames import scrap_frame, thread_frame
from production.domain.wants import drop_want, keep_want
from production.models import DipPlan, Frame, PlannedFor, PlannedFrame, PlanPin, PlanSearch
from production.queries.dip_plan import planned_by_want, standing_plan
from tests.factories import make_wax
from tests.factories.floor import make_frame, make_want
from tests.production.plan_floor import FRIDAY, MONDAY, make_plan_floor, stand_plan

pytestmark = pytest.mark.django_db


@pytest.fixture
def floor():
    return make_plan_floor()


def found(floor, **given) -> PlanSearch:
    search = ask_search(effort="quick", days=4, by=floor.by, **given)
    run_search(search.pk, worker="w")
    return PlanSearch.objects.get(pk=search.pk)


def thread(floor, candle, **given) -> Frame:
    return thread_frame(candle=candle, kind=floor.kind, hung=48, wants=None, by=floor.by, **given)


def pairs_planned(*wants) -> list[int]:
    planned = planned_by_want([want.pk for want in wants])
    return [sum(pairs for _, pairs in planned.get(want.pk, ())) for want in wants]


# Taken over


def test_a_plan_taken_over_stands_with_its_frames(floor):
    plan = take_over(search=found(floor), by=floor.by)
    assert standing_plan() == plan
    assert pairs_planned(*floor.wants) == [60, 30]
    problem, answer = problem_from_json(plan.problem), plan_from_json(plan.answer)
    assert not faults(problem, answer)
    rows = list(PlannedFrame.objects.order_by("number"))
    assert len(rows) == 3
    for row in rows:
        assert plan.begins <= row.starts <= row.first_dip < row.last_dip < row.hard_at
        assert timezone.localdate(row.hard_at) <= row.ready_on
        assert (row.pairs, row.kind, row.carousel) == (48, floor.kind, floor.carousels[row.vat == floor.south])
        assert 1 <= row.position <= 3
        assert row.why
    assert Record.objects.filter(subject="dip plan").count() == 1
    assert list(breaches()) == []


def test_taken_over_twice_it_is_taken_over_once(floor):
    search = found(floor)
    assert take_over(search=search, by=floor.by) == take_over(search=search, by=floor.by)
    assert DipPlan.objects.count() == 1


def test_the_plan_before_no_longer_stands(floor):
    first = take_over(search=found(floor), by=floor.by)
    second = take_over(search=found(floor), by=floor.by)
    assert list(DipPlan.objects.filter(stands=True)) == [second]
    assert first.frames.exists(), "it is kept for what it promised"
    assert pairs_planned(*floor.wants) == [60, 30], "only what stands counts"


def test_an_older_search_does_not_push_out_a_newer_plan(floor):
    old = found(floor)
    take_over(search=found(floor), by=floor.by)
    with pytest.raises(ValidationError, match="search again"):
        take_over(search=old, by=floor.by)


def test_nothing_found_and_trials_are_not_taken_over(floor):
    with pytest.raises(ValidationError, match="found no plan yet"):
        take_over(search=ask_search(by=floor.by), by=floor.by)
    with pytest.raises(ValidationError, match="only a trial"):
        take_over(search=found(floor, what_if={"hands": 1}), by=floor.by)
    assert standing_plan() is None


def test_the_best_so_far_is_taken_of_a_search_that_is_on(floor):
    done = found(floor)
    search = ask_search(effort="quick", days=4, by=floor.by)
    claim(search.pk, "w")
    PlanSearch.objects.filter(pk=search.pk).update(found=done.found, problem=done.problem, facts=done.facts)
    assert take_over(search=search, by=floor.by).search == search
    assert PlanSearch.objects.get(pk=search.pk).cancel


def test_what_went_or_came_since_the_search_is_looked_after(floor):
    search = found(floor)
    kept, gone = floor.wants
    frame = thread(floor, floor.taper)
    drop_want(gone)
    plan = take_over(search=search, by=floor.by)
    assert PlannedFrame.objects.get(plan=plan, frame=frame).candle == floor.taper
    assert set(PlannedFor.objects.values_list("want", flat=True)) == {kept.pk}


# Threaded


def test_a_frame_threaded_takes_the_place_of_the_planned_one(floor):
    plan = stand_plan(floor)
    first, second = plan.frames.filter(candle=floor.taper).order_by("starts", "number")
    frame = thread(floor, floor.taper)
    first.refresh_from_db()
    assert (first.frame, frame.planned_as) == (frame, first)
    assert pairs_planned(floor.wants[0]) == [second.meant_for.get().pairs]
    assert thread(floor, floor.taper, planned=first).planned_as == second, "the first is taken already"
    assert not PlannedFrame.objects.filter(frame=thread(floor, floor.taper)).exists(), "none is left"
    assert pairs_planned(floor.wants[0]) == [0]


def test_the_planned_one_that_is_named_is_taken(floor):
    plan = stand_plan(floor)
    _, second = plan.frames.filter(candle=floor.taper).order_by("starts", "number")
    assert thread(floor, floor.taper, planned=second).planned_as == second


def test_a_planned_frame_of_another_candle_is_not_taken(floor):
    plan = stand_plan(floor)
    red = plan.frames.filter(candle=floor.dinner).first()
    assert thread(floor, floor.taper, planned=red).planned_as.candle == floor.taper


def test_a_scrapped_frame_gives_its_place_back(floor):
    plan = stand_plan(floor)
    frame = thread(floor, floor.dinner)
    assert plan.frames.filter(frame=frame).exists()
    scrap_frame(frame=frame, reason="Dropped.", by=floor.by)
    assert not plan.frames.filter(frame=frame).exists()
    assert pairs_planned(floor.wants[1]) == [30]


# What is planned never goes beyond what is wanted


def test_planned_pairs_shrink_with_the_want_and_what_hangs(floor):
    stand_plan(floor)
    want = floor.wants[0]
    make_frame(floor.taper, wants={want: 40}, kind=floor.kind)
    assert pairs_planned(want) == [20]
    values = {"candle": want.candle, "wanted_by": want.wanted_by, "for_whom": want.for_whom, "rank": want.rank}
    keep_want(want=want, pairs=45, group=want.group, all_or_nothing=False, **values)
    assert pairs_planned(want) == [5]
    keep_want(want=want, pairs=45, group=want.group, all_or_nothing=False, **{**values, "candle": floor.dinner})
    assert pairs_planned(want) == [0]


def test_planned_pairs_take_as_many_queries_for_many_wants(floor, django_assert_num_queries):
    stand_plan(floor)
    for wants in (floor.wants[:1], floor.wants):
        with django_assert_num_queries(2):
            planned = planned_by_want([want.pk for want in wants])
        with django_assert_num_queries(1):
            assert planned_by_want([want.pk for want in wants], {}) == planned
    with django_assert_num_queries(0):
        assert planned_by_want([]) == {}


# Repaired


def test_a_repair_plans_what_came_since_and_leaves_the_first_day(floor):
    now = timezone.now()
    before = stand_plan(floor, now=now)
    want = make_want(floor.dinner, 90, wanted_by=FRIDAY, for_whom="Late Deli", group="order 9")
    after = repair_now(by=floor.by)
    assert standing_plan() == after
    assert after.search is None
    assert pairs_planned(want) == [90]
    problem, plan = problem_from_json(after.problem), plan_from_json(after.answer)
    assert not faults(problem, plan)
    first_day = timezone.localdate(before.begins)
    kept = [
        set(row.frames.filter(starts__date=first_day).values_list("candle", "vat", "position", "starts"))
        for row in (before, after)
    ]
    assert kept[0] <= kept[1] or timezone.localdate(after.begins) != first_day


def test_without_a_plan_there_is_nothing_to_mend(floor):
    with pytest.raises(ValidationError, match=NO_PLAN):
        repair_now(by=floor.by)


def test_the_first_day_is_held_unless_the_owner_says_so(floor):
    plan = stand_plan(floor)
    # Twenty past eight: nothing was missed by half an hour yet.
    on_time = MONDAY + timedelta(minutes=80)
    held = load_problem(days=5, now=on_time).problem
    assert held.frozen.halves == 2
    assert len(held.frozen.hang) == plan.frames.filter(starts__date=MONDAY.date()).count() == 3
    assert all(starts >= 0 for *_, starts in held.frozen.hang)
    assert not faults(held, construct(held))
    assert load_problem(days=5, now=on_time, keeps_first_day=False).problem.frozen is None
    later = datetime(2026, 12, 21, 7, tzinfo=UTC)
    assert load_problem(days=5, now=later).problem.frozen is None, "the plan does not reach that day"


def test_a_floor_behind_its_plan_keeps_the_colours_and_finds_other_hours(floor):
    stand_plan(floor)
    behind = load_problem(days=5, now=MONDAY + timedelta(hours=4)).problem
    assert behind.frozen is None
    assert {(pin.vat, pin.half, pin.bath) for pin in behind.vat_pins} == {
        (0, 0, 0), (0, 1, 0), (1, 0, 1), (1, 1, 1),
    }  # fmt: skip
    plan = construct(behind)
    assert not faults(behind, plan)
    assert plan.cost.late == 0


def test_the_first_day_bends_to_pins_and_to_what_a_vat_may_hold(floor):
    stand_plan(floor)
    pin = {"day": MONDAY.date(), "half": 2, "made_at": MONDAY, "made_by": floor.by}
    PlanPin.objects.create(vat=floor.north, wax=floor.wax, colour=floor.red, **pin)
    beeswax = make_wax(name="Beeswax")
    PlanPin.objects.create(vat=floor.south, wax=beeswax, colour=floor.red, **pin)
    floor.south.may_hold.set([floor.wax])
    problem = load_problem(days=5, now=MONDAY).problem
    assert [problem.baths[bath].name for bath in problem.frozen.baths[0]] == ["ivory", "winter red"]
    assert problem.said == ("A pin is left out: South vat may not hold Beeswax any more.",)
    assert not faults(problem, construct(problem))


# The tables themselves


def test_only_one_plan_stands(floor):
    stand_plan(floor)
    with pytest.raises(IntegrityError), transaction.atomic():
        DipPlan.objects.create(begins=MONDAY, problem={}, answer={}, made_at=MONDAY, made_by=floor.by)


def test_a_planned_frame_counts_no_more_than_hangs_on_it(floor):
    row = stand_plan(floor).frames.first()
    for changed in ({"counted": 49}, {"pairs": 0, "counted": 0}):
        with pytest.raises(IntegrityError), transaction.atomic():
            PlannedFrame.objects.filter(pk=row.pk).update(**changed)


def test_the_audit_names_planned_frames_that_do_not_add_up(floor):
    plan = stand_plan(floor)
    red, ivory = plan.frames.filter(candle=floor.dinner).first(), plan.frames.filter(candle=floor.taper).first()
    PlannedFor.objects.filter(frame=red).update(pairs=red.counted + 1)
    PlannedFrame.objects.filter(pk=ivory.pk).update(frame=make_frame(floor.dinner, kind=floor.kind))
    PlannedFrame.objects.filter(pk=red.pk).update(first_dip=red.last_dip + timedelta(hours=1))
    said = "\n".join(breaches())
    assert f"meant for {red.counted + 1} pairs, and counted on for {red.counted}" in said
    assert "threaded as" in said
    assert "out of order" in said
