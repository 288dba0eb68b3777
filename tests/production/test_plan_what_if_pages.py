"""Trying what would be if: the form, and the trial beside the plan that stands."""

from datetime import timedelta

import pytest

from production.models import DipPlan, PlanSearch
from production.models.plan import CANCELLED, WAITING, WORKING
from tests.production.plan_floor import MONDAY, make_plan_floor
from tests.production.standing_plan import let_a_plan_stand, make_search, stop_the_clock

pytestmark = pytest.mark.django_db
TRY = "/dip-list/plan/what-if/"


def text(response) -> str:
    return response.content.decode()


@pytest.fixture(autouse=True)
def clock(monkeypatch):
    stop_the_clock(monkeypatch)
    monkeypatch.setattr("production.domain.dip_plan.search._hand_over", lambda search: None)


@pytest.fixture
def floor():
    floor = make_plan_floor()
    let_a_plan_stand(floor.by)
    return floor


@pytest.fixture
def owner(client_for, floor):
    return client_for(person=floor.by)


def test_only_the_owner_tries(client_for, floor):
    trial = make_search(floor.by, what_if={"hands": 1})
    for page in (TRY, f"{TRY}{trial.pk}/"):
        assert client_for("owner").get(page).status_code == 200
        assert client_for("dipper").get(page).status_code == 403
        assert client_for("dipper").post(page).status_code == 403
    assert client_for("owner").post(f"{TRY}{trial.pk}/").status_code == 405


def test_an_order_a_vat_a_day_and_hands_are_tried_at_once(owner, floor):
    data = {
        "rows": f"{floor.taper.code} 96\n\n {floor.dinner.code.lower()}  1,200 ", "due": "2026-12-04",
        "vats_out": [floor.south.pk], "day_worked": "2026-12-05", "hands": "1",
    }  # fmt: skip
    for _ in range(2):
        response = owner.post(TRY, data)
    trial = PlanSearch.objects.get()
    assert response.url == f"{TRY}{trial.pk}/"
    assert trial.what_if == {
        "order": [
            {"candle": floor.taper.pk, "pairs": 96, "due": "2026-12-04"},
            {"candle": floor.dinner.pk, "pairs": 1200, "due": "2026-12-04"},
        ],
        "vats_out": [floor.south.pk],
        "days_worked": ["2026-12-05"],
        "hands": 1,
    }
    page = owner.get(response.url)
    assert page.context["headline"].endswith(": being worked out.")
    assert 'hx-trigger="every 2s"' in text(page)
    assert "1 more pair of hands" in text(owner.get(TRY))
    assert DipPlan.objects.count() == 1


@pytest.mark.parametrize(
    ("data", "field"),
    [
        ({}, "__all__"),
        ({"rows": "IV250", "due": "2026-12-04"}, "rows"),
        ({"rows": "NOPE1 20", "due": "2026-12-04"}, "rows"),
        ({"rows": "T 0", "due": "2026-12-04"}, "rows"),
        ({"rows": "T -5", "due": "2026-12-04"}, "rows"),
        ({"rows": "T 1000000000", "due": "2026-12-04"}, "rows"),
        ({"rows": "T 5"}, "due"),
        ({"rows": "T 5", "due": "2026-11-29"}, "due"),
        ({"rows": "T 5", "due": "soon"}, "due"),
        ({"rows": "x" * 5000, "due": "2026-12-04"}, "rows"),
        ({"rows": "T\x00 5", "due": "2026-12-04"}, "rows"),
        ({"vats_out": ["999999"]}, "vats_out"),
        ({"day_worked": "2026-11-01"}, "day_worked"),
        ({"hands": "99"}, "hands"),
        ({"hands": "many"}, "hands"),
    ],
)
def test_what_cannot_be_tried_is_refused_beside_what_was_typed(owner, floor, data, field):
    data = {name: value.replace("T", floor.taper.code) if name == "rows" else value for name, value in data.items()}
    refused = owner.post(TRY, data)
    assert refused.status_code == 422
    assert list(refused.context["form"].errors) == [field]
    for name, value in data.items():
        assert refused.context["form"][name].value() == value
    assert not PlanSearch.objects.exists()


def test_a_trial_stands_beside_the_plan(owner, floor):
    order = [{"candle": floor.taper.pk, "pairs": 40, "due": "2026-12-04"}]
    trial = make_search(floor.by, what_if={"order": order})
    response = owner.get(f"{TRY}{trial.pk}/")
    assert response.context["headline"].startswith("With 40 pairs more by 4 Dec: what is tried is ready by ")
    sides = {row.record.what: (row.record.stands, row.record.trial) for row in response.context["sides"].rows}
    assert sides["Orders ready in time"][0] == "2 of 2"
    assert int(sides["New frames"][1]) > int(sides["New frames"][0])
    assert next(row.record.moves for row in response.context["moved"].rows) == "tried"
    assert DipPlan.objects.get().search is None


def test_a_trial_is_watched_and_cancelled(owner, floor):
    trial = make_search(
        floor.by, state=WORKING, what_if={"hands": 1}, worker="w", lease_until=MONDAY + timedelta(minutes=1)
    )
    part = owner.get(f"{TRY}{trial.pk}/", headers={"HX-Request": "true"})
    assert "<main" not in text(part)
    assert 'value="30"' in text(part)
    cancel = f"/dip-list/plan/search/{trial.pk}/cancel/"
    assert owner.post(cancel).url == f"{TRY}{trial.pk}/"
    PlanSearch.objects.update(state=CANCELLED)
    assert "Start it again" in text(owner.get(f"{TRY}{trial.pk}/"))
    assert owner.post(f"/dip-list/plan/search/{trial.pk}/again/").url == f"{TRY}{trial.pk}/"
    assert PlanSearch.objects.get().state == WAITING


def test_a_trial_is_no_plan_to_take_over(owner, floor):
    trial = make_search(floor.by, what_if={"hands": 1})
    assert "only a trial" in text(owner.post(f"/dip-list/plan/search/{trial.pk}/take/", follow=True))
    assert owner.get(f"/dip-list/plan/search/{trial.pk}/").status_code == 404
    real = make_search(floor.by)
    assert owner.get(f"{TRY}{real.pk}/").status_code == 404
