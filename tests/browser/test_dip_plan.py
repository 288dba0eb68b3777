"""The dip plan's straight way: asked for, watched, taken over, a late line's reason read, a frame pinned, re-planned,
printed for the wall."""

import io
import re

import pytest
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from production.audit import breaches
from production.dip_plan.codec import plan_to_json, problem_to_json
from production.dip_plan.construct import construct
from production.dip_plan.improve import improve
from production.domain.dip_plan.lease import claim, end, write
from production.domain.dip_plan.load import load_problem
from production.models import DipPlan, PlannedFrame, PlanPin, PlanSearch
from production.models.plan import FOUND
from tests.factories.floor import make_want
from tests.production.plan_floor import make_plan_floor

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def floor(monkeypatch):
    """More is wanted today than can be dipped, so that something is late. The test itself is the worker."""
    monkeypatch.setattr("production.domain.dip_plan.search._hand_over", lambda search: None)
    floor = make_plan_floor()
    make_want(floor.dinner, 400, wanted_by=timezone.localdate(), for_whom="Lamp and Larder", group="order 3")
    return floor


@pytest.fixture
def desk(page, sign_in, floor):
    sign_in(page, floor.by)
    return page


def watch_it_improve(page) -> PlanSearch:
    """The page is told by the worker's own writes alone; nobody loads it again."""
    search = claim(PlanSearch.objects.get().pk, "the test")
    loaded = load_problem(days=search.days)
    first = construct(loaded.problem)
    write(search, problem=problem_to_json(loaded.problem), facts=loaded.facts, found=plan_to_json(first))
    page.get_by_text("Best so far:").wait_for()
    write(search, moves=40, moves_in_all=100)
    page.get_by_text("40 % of the search is done.").wait_for()
    assert page.get_by_role("progressbar").get_attribute("value") == "40"
    best = improve(loaded.problem, first, effort="quick", seed=1)
    assert best.cost.total <= first.cost.total
    end(search, FOUND, found=plan_to_json(best), moves=100)
    page.get_by_text("A plan is found").wait_for()
    return search


def test_the_owner_plans_the_floor(desk, check_axe, floor):
    page = desk
    page.goto(reverse("dip_list"))
    page.get_by_role("link", name="The dip plan").click()
    page.get_by_text("No plan stands yet; 3 lines wait on the dip list.").wait_for()
    page.get_by_role("button", name="Make a plan").click()
    page.get_by_text("The search is about to begin.").wait_for()
    search = watch_it_improve(page)
    check_axe(page)
    page.get_by_role("button", name="Take this plan over").click()
    page.get_by_text("The plan stands now.").wait_for()
    assert DipPlan.objects.get(stands=True).search == search

    page.get_by_role("link", name="Why lines are late").click()
    page.get_by_role("cell", name="Lamp and Larder").wait_for()
    row = page.get_by_role("row").filter(has_text="Lamp and Larder")
    assert row.get_by_role("cell").last.inner_text().strip()

    pin_one(page, floor)
    page.get_by_role("button", name="Re-plan around the pins").click()
    page.get_by_text("The plan is mended").wait_for()
    pin = PlanPin.objects.get()
    held = PlannedFrame.objects.filter(plan__stands=True, candle=pin.candle, vat=pin.vat, position=pin.position)
    assert any(timezone.localdate(frame.starts) == pin.day for frame in held)

    sheet = page.get_by_role("link", name="Print the week's sheet for the wall").get_attribute("href")
    leaves = PdfReader(io.BytesIO(page.request.get(sheet).body())).pages
    printed = " ".join(leaf.extract_text() for leaf in leaves)
    assert "North vat" in printed
    assert floor.dinner.code in printed
    assert "Never leave a heated vat alone." in printed
    assert [*breaches()] == []


def pin_one(page, floor) -> None:
    """From the picture to a frame, its lines and its reason, and fast where it hangs."""
    page.goto(reverse("dip_plan"))
    page.locator(".picture").get_by_role("link", name=re.compile(floor.dinner.name)).first.click()
    page.get_by_text("Why there:").wait_for()
    page.get_by_role("cell", name="Lamp and Larder").wait_for()
    page.get_by_role("button", name="Pin it here").click()
    page.get_by_text("Pinned: ").wait_for()
