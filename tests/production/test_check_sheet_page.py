"""The check sheet on the screen and on paper."""

import uuid
from decimal import Decimal

import pytest

from config.roles import ROLES
from production.check_points import POINTS
from production.models import FloorCheck, VatReading
from production.views import check_sheet
from tests.factories import make_person, make_vat
from tests.production.setup_pages import asked

pytestmark = pytest.mark.django_db
SHEET, PDF = "/floor/check-sheet/", "/floor/check-sheet.pdf"
EVERY = {part: [key for key, _ in points] for part, points in POINTS.items()}


@pytest.fixture(autouse=True)
def before_noon(monkeypatch):
    """Whatever the hour is: after noon the sheet opens at its evening part."""
    monkeypatch.setattr(check_sheet, "NOON", 24)


@pytest.fixture
def dipper(client_for):
    return client_for("dipper")


def filled(part: str = "morning", **changes) -> dict:
    return {"part": part, "points": EVERY.get(part, []), "note": "", "submission": str(uuid.uuid4()), **changes}


@pytest.mark.parametrize("role", ROLES)
def test_dippers_and_owners_go_through_it(client_for, role):
    client, may = client_for(role), role in ("owner", "dipper")
    assert client.get(SHEET).status_code == (200 if may else 403)
    assert client.get(PDF).status_code == (200 if may else 403)
    assert client.post(SHEET, filled()).status_code == (302 if may else 403)
    assert FloorCheck.objects.count() == may


def test_a_sheet_is_kept_once_and_said(dipper):
    vat = make_vat()
    assert dipper.get(SHEET).context["headline"].endswith("is still to do, for 1 vat.")
    sent = filled(**{f"vat-{vat.pk}-celsius": "71", f"vat-{vat.pk}-level_mm": "40"})
    for _ in range(2):
        assert dipper.post(SHEET, sent).url == SHEET
    assert FloorCheck.objects.count() == VatReading.objects.count() == 1
    headline = dipper.get(f"{SHEET}?part=morning").context["headline"]
    assert headline.startswith(f"The start-of-day check was done by {dipper.person.full_name} at ")
    assert headline.endswith(": all in order.")
    assert "end-of-day" in dipper.get(f"{SHEET}?part=evening").context["headline"]


def test_an_open_point_wants_a_word_and_is_warned_of(dipper):
    refused = dipper.post(SHEET, filled(points=EVERY["morning"][1:]))
    assert refused.status_code == 422
    assert list(refused.context["form"].errors) == ["note"]
    assert refused.content.decode().count("checked") == len(EVERY["morning"]) - 1
    kept = dipper.post(SHEET, filled(points=EVERY["morning"][1:], note="Refilled tomorrow."), follow=True)
    assert "heat nothing that is not safe to heat" in kept.content.decode()
    assert kept.context["headline"].endswith(": 1 point was not in order.")


def test_a_vat_that_is_too_hot_is_warned_of(dipper):
    vat = make_vat(name="Vat 1")
    kept = dipper.post(SHEET, filled(**{f"vat-{vat.pk}-celsius": "95"}), follow=True)
    assert "Vat 1: 95 C is too hot" in kept.content.decode()


@pytest.mark.parametrize("value", ["0", "-1", "251", "1000000000", "NaN", "warm", "7\0"])
def test_bad_figures_are_refused_beside_what_was_typed(dipper, value):
    vat = make_vat()
    field = f"vat-{vat.pk}-celsius"
    refused = dipper.post(SHEET, filled(**{field: value}))
    assert refused.status_code == 422
    assert list(refused.context["form"].errors) == [field]
    assert refused.context["form"][field].value() == value
    assert not FloorCheck.objects.exists()


@pytest.mark.parametrize(
    "wrong",
    [
        {"part": "noon"},
        {"points": ["extinguisher", "teapot"]},
        {"note": "x" * 401, "points": []},
        {"note": "\0", "points": []},
        {"submission": "again"},
    ],
)
def test_what_is_no_sheet_is_refused(dipper, wrong):
    assert dipper.post(SHEET, filled(**wrong)).status_code == 422
    assert not FloorCheck.objects.exists()


def test_the_paper_carries_every_point_and_every_vat_in_use(dipper, monkeypatch):
    make_vat(name="Copper vat", set_c=Decimal("70")), make_vat(name="Cracked vat", active=False)
    shown = {}
    monkeypatch.setattr(check_sheet, "render_pdf", lambda template, context: shown.update(context) or b"%PDF-")
    response = dipper.get(PDF)
    assert response["Content-Type"] == "application/pdf"
    assert [vat.name for vat, _ in shown["vats"]] == ["Copper vat"]
    assert [len(points) for _, points in shown["parts"]] == [len(points) for points in POINTS.values()]


def test_the_paper_is_a_pdf(dipper):
    make_vat()
    assert dipper.get(PDF).content.startswith(b"%PDF-")


def test_the_page_asks_the_same_after_thirty_sheets(dipper):
    make_vat()
    address = f"{SHEET}?part=morning"
    dipper.post(SHEET, filled())
    dipper.get(address)
    one, first = asked(dipper, address), FloorCheck.objects.get()
    day = {"day": first.day, "part": first.part, "at": first.at}
    FloorCheck.objects.bulk_create(FloorCheck(**day, person=make_person(), tap=uuid.uuid4()) for _ in range(29))
    assert asked(dipper, address) == one
