"""Two at the dip plan at the same moment: real threads on PostgreSQL."""

from functools import partial

import pytest

from production.dip_plan.codec import plan_to_json, problem_to_json
from production.dip_plan.construct import construct
from production.domain.dip_plan.lease import claim
from production.domain.dip_plan.load import load_problem
from production.domain.dip_plan.pins import pin_vat
from production.domain.dip_plan.search import ask_search, start_again
from production.domain.dip_plan.take_over import take_over
from production.domain.frames import thread_frame
from production.models import DipPlan, PlannedFrame, PlanPin, PlanSearch
from tests.production.plan_floor import make_plan_floor, stand_plan
from tests.production.test_plan_pins import workday
from tests.production.test_plan_search import lose_the_worker
from tests.races.threads import second_waits_for_first, together

pytestmark = [pytest.mark.postgresql, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def floor(monkeypatch):
    # A search that is asked for waits here for the worker that each test plays.
    monkeypatch.setattr("production.tasks.run_search", lambda pk, worker: "")
    return make_plan_floor()


def found(floor) -> PlanSearch:
    loaded = load_problem(days=4)
    search = ask_search(effort="quick", days=4, by=floor.by)
    PlanSearch.objects.filter(pk=search.pk).update(
        state="found", problem=problem_to_json(loaded.problem), facts=loaded.facts,
        found=plan_to_json(construct(loaded.problem)),
    )  # fmt: skip
    return PlanSearch.objects.get(pk=search.pk)


def test_two_who_ask_at_once_get_one_search(floor):
    ask = partial(ask_search, effort="quick", by=floor.by)
    first, second = second_waits_for_first(ask, ask)
    assert first == second
    assert PlanSearch.objects.count() == 1


def test_a_stopped_search_is_started_again_once(floor):
    search = ask_search(effort="quick", by=floor.by)
    claim(search.pk, "killed")
    lose_the_worker(search)
    results = together(*[partial(start_again, search=search, by=floor.by) for _ in range(2)])
    assert {each.state for each in results} == {"waiting"}
    taken = together(*[partial(claim, search.pk, name) for name in ("one", "two")])
    assert sum(each is not None for each in taken) == 1


def test_a_plan_taken_over_by_two_stands_once(floor):
    act = partial(take_over, search=found(floor), by=floor.by)
    first, second = second_waits_for_first(act, act)
    assert first == second
    assert DipPlan.objects.filter(stands=True).count() == 1
    assert PlannedFrame.objects.count() == 3


def test_two_frames_threaded_at_once_take_two_places(floor):
    stand_plan(floor)
    act = partial(thread_frame, candle=floor.taper, kind=floor.kind, hung=48, wants=None, by=floor.by)
    frames = together(act, act)
    assert {frame.planned_as.candle for frame in frames} == {floor.taper}
    assert frames[0].planned_as != frames[1].planned_as


def test_a_frame_threaded_while_a_plan_is_taken_over_has_its_place_in_the_new_one(floor):
    stand_plan(floor)
    search = found(floor)
    act = partial(thread_frame, candle=floor.dinner, kind=floor.kind, hung=48, wants=None, by=floor.by)
    _, frame = second_waits_for_first(partial(take_over, search=search, by=floor.by), act)
    assert frame.planned_as.plan == DipPlan.objects.get(stands=True)


def test_the_same_pin_set_by_two_is_one(floor):
    values = {"vat": floor.north, "day": workday(), "half": 1, "wax": floor.wax, "colour": floor.red}
    together(*[partial(pin_vat, **values, by=floor.by) for _ in range(2)])
    assert PlanPin.objects.count() == 1
