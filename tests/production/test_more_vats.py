"""A trial with a vat or a carousel more: planned as if it were there, shown, and nothing of it saved."""

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from production.dip_plan.codec import plan_from_json, problem_from_json
from production.domain.dip_plan.load import load_problem
from production.domain.dip_plan.run import run_search
from production.domain.dip_plan.search import ask_search
from production.domain.dip_plan.what_if import check_changes, in_words
from production.models import Carousel, PlanSearch, Vat
from tests.production.plan_floor import MONDAY, make_plan_floor, stand_plan

pytestmark = pytest.mark.django_db


@pytest.fixture
def floor():
    return make_plan_floor()


def test_a_vat_more_is_the_image_of_its_like_and_needs_a_carousel(floor):
    floor.north.may_hold.add(floor.wax)
    alone = load_problem(days=2, now=MONDAY, what_if={"vats_more": [floor.north.pk]}).problem
    assert len(alone.vats) == 2
    assert "North vat, one more has no carousel to turn over it: nothing is planned there." in alone.said
    both = load_problem(days=2, now=MONDAY, what_if={"vats_more": [floor.north.pk], "carousels_more": 1}).problem
    like, more = both.vats[0], both.vats[2]
    assert (more.key, more.name) == (-1, "North vat, one more")
    assert (more.bath, more.depth_mm, more.may_hold) == (like.bath, like.depth_mm, like.may_hold)
    assert (more.positions, more.carousel) == (3, "a carousel more (1)")
    assert (Vat.objects.count(), Carousel.objects.count()) == (2, 2)


def test_an_idle_carousel_of_the_book_is_used_first(floor):
    idle = Carousel.objects.create(name="Cradle", positions=6)
    problem = load_problem(days=2, now=MONDAY, what_if={"vats_more": [floor.south.pk]}).problem
    assert {vat.carousel for vat in problem.vats} == {"Anvil", "Bellows", idle.name}


def test_the_trial_is_planned_and_shown(floor, client_for):
    standing = stand_plan(floor, now=timezone.now())
    what_if = {"vats_more": [floor.north.pk], "carousels_more": 1}
    search = ask_search(effort="quick", days=4, what_if=what_if, beside=standing.search, by=floor.by)
    run_search(search.pk, worker="w")
    search = PlanSearch.objects.get(pk=search.pk)
    problem, plan = problem_from_json(search.problem), plan_from_json(search.found)
    assert len(problem.vats) == len(plan.baths) == 3
    page = client_for("owner").get(f"/dip-list/plan/what-if/{search.pk}/")
    assert page.status_code == 200
    assert "a vat more like North vat, 1 carousel more" in page.content.decode()


def test_what_may_be_tried(floor):
    assert check_changes({"vats_more": [floor.north.pk], "carousels_more": "2"}) == {
        "vats_more": [floor.north.pk], "carousels_more": 2
    }  # fmt: skip
    assert in_words({"carousels_more": 2}) == "with 2 carousels more"
    for field, wrong in (("vats_more", [10**9]), ("carousels_more", 5), ("carousels_more", "x")):
        with pytest.raises(ValidationError) as refused:
            check_changes({field: wrong})
        assert list(refused.value.message_dict) == [field]
