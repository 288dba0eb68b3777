"""The dip plan's page: what stands, what is being searched for, what has changed, what is late."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from config.roles import ROLES
from production.models import DipPlan, PlannedFrame, PlanSearch
from production.models.plan import CANCELLED, FAILED, STOPPED, WAITING, WORKING
from tests.factories.floor import make_want
from tests.production.plan_floor import MONDAY, THURSDAY, make_plan_floor
from tests.production.standing_plan import let_a_plan_stand, make_search, stop_the_clock

pytestmark = pytest.mark.django_db
PLAN, LATE, SHEET = "/dip-list/plan/", "/dip-list/plan/late/", "/dip-list/plan/sheet.pdf"
PROGRESS, ASK, REPAIR = f"{PLAN}search/", f"{PLAN}ask/", f"{PLAN}repair/"


def text(response) -> str:
    return response.content.decode()


@pytest.fixture(autouse=True)
def clock(monkeypatch):
    stop_the_clock(monkeypatch)


@pytest.fixture
def floor():
    return make_plan_floor()


@pytest.fixture
def owner(client_for, floor):
    return client_for(person=floor.by)


@pytest.mark.parametrize("role", ROLES)
def test_dippers_see_the_plan_and_the_owner_changes_it(client_for, floor, role):
    let_a_plan_stand(floor.by)
    search = make_search(floor.by)
    client, sees = client_for(role), role in ("owner", "dipper")
    pages = (
        PLAN,
        LATE,
        SHEET,
        f"{PLAN}pins/",
        f"{PROGRESS}{search.pk}/",
        f"{PLAN}frame/{PlannedFrame.objects.first().pk}/",
    )
    for page in pages:
        assert client.get(page).status_code == (200 if sees else 403), page
    assert client.get(PROGRESS).status_code == (302 if sees else 403)
    for act in (ASK, REPAIR, *(f"{PROGRESS}{search.pk}/{act}/" for act in ("take", "cancel", "again"))):
        assert client.get(act).status_code == (405 if role == "owner" else 403), act
        if role != "owner":
            assert client.post(act).status_code == 403, act
    assert ("Re-plan" in text(client.get(PLAN))) == (role == "owner")


def test_without_a_plan_the_page_leads_to_one(owner):
    html = text(owner.get(PLAN))
    assert "No plan stands yet; 2 lines wait on the dip list." in html
    assert html.count('class="solid"') == 1
    assert "Make a plan</button>" in html
    for page in (LATE, SHEET, f"{PLAN}what-if/"):
        assert owner.get(page).url == PLAN


def test_the_picture_shows_each_half_day(owner, floor):
    let_a_plan_stand(floor.by)
    response = owner.get(PLAN)
    html = text(response)
    assert response.context["headline"].endswith("; all 2 orders due are ready in time.")
    days = response.context["days"]
    assert [half.part for half in days[0].halves] == ["morning", "afternoon"]
    assert [vat.name for vat in days[0].halves[0].vats] == ["North vat", "South vat"]
    hung = [pair for vat in days[0].halves[0].vats for group in vat.groups for pair in group.pairs]
    frames = {frame.get("pk"): frame for frame in PlannedFrame.objects.values("pk")}
    assert len(hung) == len(frames) > 0
    assert all(pair.url in html for pair in hung)
    assert "<b>Ivory</b>" in html
    assert html.count('class="solid"') == 1


def test_what_hangs_next_is_named_for_each_vat(owner, floor):
    let_a_plan_stand(floor.by)
    rows = owner.get(PLAN).context["next"]
    assert sorted(each.vat for each in rows) == ["North vat", "South vat"]
    assert {each.when for each in rows} == {"at 08:00"}


def test_a_stale_plan_says_what_has_changed(owner, floor):
    let_a_plan_stand(floor.by)
    assert "Since this plan was made" not in text(owner.get(PLAN))
    make_want(floor.taper, 36, wanted_by=THURSDAY, for_whom="Lamp and Larder", group="order 3")
    html = text(owner.get(PLAN))
    assert "1 want is new: 36 pairs, the first by 3 Dec." in html
    assert html.count('class="solid"') == 1
    assert owner.post(REPAIR, follow=True).redirect_chain == [(PLAN, 302)]
    assert "Since this plan was made" not in text(owner.get(PLAN))
    assert DipPlan.objects.count() == 2


def test_the_plan_cannot_be_mended_before_there_is_one(owner):
    assert "No plan stands yet" in text(owner.post(REPAIR, follow=True))


def test_a_search_is_asked_for_once(owner, floor, monkeypatch):
    monkeypatch.setattr("production.domain.dip_plan.search._hand_over", lambda search: None)
    for _ in range(2):
        assert owner.post(ASK, {"effort": "quick", "days": "5", "keeps_first_day": "on"}).url == f"{PLAN}#search"
    search = PlanSearch.objects.get()
    assert (search.effort, search.days, search.keeps_first_day, search.asked_by) == ("quick", 5, True, floor.by)
    html = text(owner.get(PLAN))
    assert "The search is about to begin." in html
    assert "Make a plan</button>" not in html


@pytest.mark.parametrize(
    ("data", "field"),
    [
        ({"effort": "quick", "days": "0"}, "days"),
        ({"effort": "quick", "days": "-1"}, "days"),
        ({"effort": "quick", "days": "1000000000"}, "days"),
        ({"effort": "quick", "days": "soon"}, "days"),
        ({"effort": "quick", "days": "1\x00"}, "days"),
        ({"effort": "huge"}, "effort"),
        ({}, "effort"),
    ],
)
def test_a_search_that_cannot_be_is_refused_beside_what_was_typed(owner, data, field):
    refused = owner.post(ASK, data)
    assert refused.status_code == 422
    assert list(refused.context["ask"].errors) == [field]
    assert refused.context["ask"][field].value() == data.get(field)
    assert not PlanSearch.objects.exists()


def running(by, **fields) -> PlanSearch:
    return make_search(by, state=WORKING, lease_until=MONDAY + timedelta(minutes=1), worker="w", **fields)


def test_a_search_is_watched(owner, floor):
    search = running(floor.by)
    html = text(owner.get(PLAN))
    assert 'hx-trigger="every 2s"' in html
    assert 'value="30"' in html
    assert "Best so far:" in html
    part = owner.get(f"{PROGRESS}?began=40", headers={"HX-Request": "true"})
    assert "<h1" not in text(part)
    assert "It began at 40 late pair-days." in text(part)
    assert "30 % of the search is done." in text(part)
    assert owner.get(PROGRESS).url == PLAN
    owner.post(f"{PROGRESS}{search.pk}/cancel/")
    assert PlanSearch.objects.get().cancel
    assert "Stopping." in text(owner.get(PLAN))


@pytest.mark.parametrize("began", ["x", "-1", "9" * 30, "\x00", "²"])
def test_nonsense_in_the_address_does_no_harm(owner, floor, began):
    let_a_plan_stand(floor.by)
    running(floor.by)
    for page in (PLAN, LATE, PROGRESS, f"{PLAN}pins/", SHEET):
        asked = {"began": began, "week": began, "page": began, "candle": began, "vat": began, "day": began}
        assert owner.get(page, asked, headers={"HX-Request": "true"}).status_code == 200


@pytest.mark.parametrize("state", [STOPPED, FAILED, CANCELLED])
def test_a_search_that_ended_early_can_be_started_again(owner, floor, state, monkeypatch):
    monkeypatch.setattr("production.domain.dip_plan.search._hand_over", lambda search: None)
    search = make_search(floor.by, state=state)
    html = text(owner.get(PLAN))
    assert "Start it again" in html
    assert "Take over the best so far" in html
    assert html.count('class="solid"') == 1
    for _ in range(2):
        assert owner.post(f"{PROGRESS}{search.pk}/again/").url == PLAN
    assert PlanSearch.objects.get().state == WAITING


def test_a_killed_worker_shows_as_stopped_and_the_plan_stands(owner, floor):
    plan = let_a_plan_stand(floor.by)
    make_search(
        floor.by, state=WORKING, lease_until=MONDAY - timedelta(seconds=1), asked_at=MONDAY + timedelta(seconds=1)
    )
    html = text(owner.get(PLAN))
    assert "The search stopped in the middle" in html
    assert "hx-trigger" not in html
    assert DipPlan.objects.get(stands=True) == plan


def test_a_found_plan_is_looked_at_and_taken_over_once(owner, floor):
    search = make_search(floor.by)
    looked = owner.get(f"{PROGRESS}{search.pk}/")
    assert "Found, and not taken over" in text(looked)
    assert not any(pair.url for pair in pairs_of(looked))
    for _ in range(2):
        assert owner.post(f"{PROGRESS}{search.pk}/take/").url == PLAN
    assert DipPlan.objects.get().search == search
    assert "A plan is found" not in text(owner.get(PLAN))
    assert "This plan was taken over." in text(owner.get(f"{PROGRESS}{search.pk}/"))


def pairs_of(response) -> list:
    halves = [half for day in response.context["days"] for half in day.halves]
    return [pair for half in halves for vat in half.vats for group in vat.groups for pair in group.pairs]


def test_a_search_without_a_plan_cannot_be_looked_at_or_taken(owner, floor):
    search = running(floor.by, found=False)
    assert "has found no plan yet" in text(owner.get(f"{PROGRESS}{search.pk}/", follow=True))
    assert "has found no plan yet" in text(owner.post(f"{PROGRESS}{search.pk}/take/", follow=True))
    assert owner.get(f"{PROGRESS}{search.pk + 1}/").status_code == 404
    assert not DipPlan.objects.exists()


def test_the_other_weeks_are_a_link_away(owner, floor):
    plan = let_a_plan_stand(floor.by)
    assert owner.get(PLAN, {"week": "2026-12-03"}).context["week"].isoformat() == "2026-11-30"
    assert owner.get(PLAN, {"week": "2027-12-03"}).context["week"].isoformat() == "2026-11-30"
    assert plan.stands


def test_late_lines_are_told_with_their_reason(owner, floor):
    make_want(floor.dinner, 400, wanted_by=MONDAY.date(), for_whom="Lamp and Larder", group="order 3")
    let_a_plan_stand(floor.by)
    response = owner.get(LATE)
    html = text(response)
    assert response.context["headline"].startswith("Of 3 lines, ")
    rows = [row.record for row in response.context["table"].rows]
    assert "Lamp and Larder" in {row.whom for row in rows}
    assert all(row.why for row in rows)
    assert rows[0].why in html


def test_no_line_is_late(owner, floor):
    let_a_plan_stand(floor.by)
    assert "No line is late: all 2 lines of the dip list are ready in time." in text(owner.get(LATE))


def test_more_frames_ask_no_more_queries(owner, floor):
    counts = []
    for pairs in (40, 400):
        make_want(floor.taper, pairs, wanted_by=THURSDAY, for_whom="Lamp and Larder", group="order 3")
        let_a_plan_stand(floor.by)
        owner.get(PLAN)
        with CaptureQueriesContext(connection) as asked:
            owner.get(PLAN)
        counts.append(len(asked))
    assert counts[0] == counts[1]


def test_the_sheet_for_the_wall_is_one_pdf(client_for, floor):
    let_a_plan_stand(floor.by)
    response = client_for("dipper").get(SHEET)
    assert response["Content-Type"] == "application/pdf"
    assert response.content.startswith(b"%PDF")
    assert 'filename="dip-plan-2026-11-30.pdf"' in response["Content-Disposition"]
