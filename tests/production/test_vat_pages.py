"""The pages of the vats: who comes in, what is logged, what is refused beside what was typed."""

from decimal import Decimal

import pytest
from django.urls import reverse

from config.roles import ROLES
from inventory.models import Record
from production.models import Vat, VatReading
from tests.factories import (
    make_candle,
    make_carousel,
    make_colour,
    make_frame,
    make_heat,
    make_recipe,
    make_run,
    make_vat,
    make_vat_reading,
    make_wax,
)
from tests.production.setup_pages import asked, doing, vat_data

pytestmark = pytest.mark.django_db
DOINGS = {
    "heat": ("celsius", "70.5", "celsius"),
    "level": ("level_mm", "61", "level_mm"),
    "top_up": ("kilograms", "2", "kilograms"),
    "thermostat": ("celsius", "72", None),
}


@pytest.fixture
def owner(client_for):
    return client_for("owner")


@pytest.fixture
def dipper(client_for):
    return client_for("dipper")


def over_data(vat, **changes) -> dict:
    values = {"wax": vat.wax_id, "colour": make_colour().pk, "set_c": "70", "cut_out_c": "110", "level_mm": "30"}
    sent = {name.removeprefix("x-"): value for name, value in doing("x", **values, **changes).items()}
    return {"version": vat.version, **sent}


@pytest.mark.parametrize("role", ROLES)
def test_dippers_log_and_owners_set_up(client_for, role):
    vat, client = make_vat(level_mm=Decimal("90")), client_for(role)
    may_log, may_set_up = role in ("owner", "dipper"), role == "owner"
    for name in ("vats", "vat", "vat_change_over"):
        page = reverse(name, args=[] if name == "vats" else [vat.pk])
        assert client.get(page).status_code == (200 if may_log else 403), name
    for name in ("vat_new", "vat_edit"):
        page = reverse(name, args=[] if name == "vat_new" else [vat.pk])
        assert client.get(page).status_code == (200 if may_set_up else 403), name
    for name, (field, value, _) in DOINGS.items():
        done = client.post(reverse(f"vat_{name}", args=[vat.pk]), doing(name, **{field: value}))
        assert done.status_code == (302 if may_log else 403), name
    assert VatReading.objects.count() == (3 if may_log else 0)
    deleted = client.post(reverse("vat_delete", args=[vat.pk]))
    assert deleted.status_code == (422 if may_set_up else 403)


@pytest.mark.parametrize("name", DOINGS)
def test_a_doing_is_logged_refuses_get_and_harms_nothing_twice(dipper, name):
    vat = make_vat(level_mm=Decimal("90"))
    field, value, kept = DOINGS[name]
    address, sent = reverse(f"vat_{name}", args=[vat.pk]), doing(name, **{field: value})
    assert dipper.get(address).status_code == 405
    assert dipper.post(reverse(f"vat_{name}", args=[999]), sent).status_code == 404
    for _ in range(2):
        assert dipper.post(address, sent).url == vat.get_absolute_url()
    if kept:
        assert getattr(VatReading.objects.get(), kept) == Decimal(value)
    else:
        assert Record.objects.filter(subject="vat").count() == 1


# A vat may stand at its rim, so 0 is no bad level.
BAD = ("", "-3", "1000000000", "hot", "NaN", "70.55555", "7\0")
ALL_BAD = [(name, value) for name in DOINGS for value in BAD] + [(name, "0") for name in DOINGS if name != "level"]


@pytest.mark.parametrize(("name", "value"), ALL_BAD)
def test_bad_input_is_refused_beside_what_was_typed(dipper, name, value):
    vat, field = make_vat(level_mm=Decimal("90")), DOINGS[name][0]
    response = dipper.post(reverse(f"vat_{name}", args=[vat.pk]), doing(name, **{field: value}))
    assert response.status_code == 422
    form = response.context["forms"][name]
    assert list(form.errors) == [field]
    assert form[field].value() == value
    assert not VatReading.objects.exists()
    assert list(Vat.objects.values_list("level_mm", "set_c")) == [(90, 70)]


def test_a_submission_that_is_none_is_refused(dipper):
    vat = make_vat()
    sent = {**doing("heat", celsius="70"), "heat-submission": "again"}
    assert dipper.post(reverse("vat_heat", args=[vat.pk]), sent).status_code == 422
    assert not VatReading.objects.exists()


def test_the_page_says_heat_level_and_what_fills_it(dipper):
    # 0.12 m2 at 0.78: 50 mm are 4.68 kg.
    vat = make_vat(name="Vat 1", length_mm=400, width_mm=300, level_mm=Decimal("75"), set_c=Decimal("70"))
    page = dipper.get(vat.get_absolute_url())
    assert page.context["headline"].endswith("nobody has read its heat today, 4.7 kg of wax fill it up.")
    make_vat_reading(vat, celsius=Decimal("70.5"))
    page = dipper.get(vat.get_absolute_url())
    assert "it was at 70.5 C at " in page.context["headline"]
    assert "Never water on a wax fire" in page.content.decode()
    assert "data sheet" in page.content.decode()


def test_heat_past_the_cut_out_is_answered_at_once(dipper):
    vat = make_vat()
    done = dipper.post(reverse("vat_heat", args=[vat.pk]), doing("heat", celsius="112"), follow=True)
    assert "heat off at once" in done.content.decode()
    assert VatReading.objects.get().note == "past the cut-out at 110 C"


def test_a_vat_too_low_for_what_hangs_says_how_much_to_put_in(dipper):
    vat, carousel = make_vat(level_mm=Decimal("235")), make_carousel()
    make_recipe(candle := make_candle(length_mm=Decimal("250")))
    make_run(carousel, vat, [make_frame(candle, state="hanging", carousel=carousel)])
    cautions = " ".join(dipper.get(vat.get_absolute_url()).context["cautions"])
    assert "covers 225 mm of candle, and this one is 250 mm long" in cautions
    assert "kg of molten wax first" in cautions


def test_a_level_below_the_bottom_or_above_the_fullest_is_told(dipper):
    low, high = make_vat(level_mm=Decimal("500")), make_vat(level_mm=Decimal("10"))
    assert "As reckoned it is empty" in dipper.get(low.get_absolute_url()).content.decode()
    assert "It is fuller than 25 mm" in dipper.get(high.get_absolute_url()).content.decode()


def test_a_vat_is_set_up_changed_and_deleted(owner):
    wax, colour = make_wax(), make_colour()
    made = owner.post("/vats/new/", vat_data(wax=wax.pk, colour=colour.pk))
    assert "may be heated to" in str(made.context["form"].errors["wax"])
    make_heat(wax)
    made = owner.post("/vats/new/", vat_data(wax=wax.pk, colour=colour.pk))
    vat = Vat.objects.get()
    assert made.url == vat.get_absolute_url()
    assert vat.level_mm == vat.keep_mm
    edit = reverse("vat_edit", args=[vat.pk])
    assert owner.post(edit, vat_data(name="Vat B", version="1")).url == vat.get_absolute_url()
    stale = owner.post(edit, vat_data(name="Vat C", version="1"))
    assert stale.status_code == 422
    assert "<dd>Vat B</dd>" in stale.content.decode()
    assert owner.post(edit, vat_data(name="Vat C", version="2")).status_code == 302
    address = reverse("vat_delete", args=[vat.pk])
    assert owner.get(address).status_code == 405
    assert owner.post(address).url == "/vats/"
    assert owner.post(address).status_code == 404
    assert not Vat.objects.exists()


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("name", ""),
        ("name", "V\0"),
        ("depth_mm", "49"),
        ("length_mm", "3001"),
        ("width_mm", "1000000000"),
        ("keep_mm", "480"),
        ("set_c", "39"),
        ("set_c", "58"),
        ("set_c", "90"),
        ("set_c", "NaN"),
        ("cut_out_c", "70"),
        ("cut_out_c", "111"),
        ("wax", "999"),
        ("colour", ""),
    ],
)
def test_a_wrong_vat_is_refused_beside_what_was_typed(owner, field, value):
    wax = make_wax()
    make_heat(wax)
    sent = vat_data(**{"wax": wax.pk, "colour": make_colour().pk, field: value})
    response = owner.post("/vats/new/", sent)
    assert response.status_code == 422
    assert list(response.context["form"].errors) == [field]
    assert response.context["form"][field].value() == value
    assert not Vat.objects.exists()


def test_a_vat_under_a_run_stays_in_use_and_what_was_read_stays(owner):
    run = make_run()
    sent = vat_data(version="1", active="")
    refused = owner.post(reverse("vat_edit", args=[run.vat_id]), sent)
    assert list(refused.context["form"].errors) == ["active"]
    deleted = owner.post(reverse("vat_delete", args=[run.vat_id]))
    assert deleted.status_code == 422
    assert "it is used by 1 dip run" in deleted.content.decode()


def test_a_change_over_is_one_and_refused_in_the_middle_of_a_stage(dipper):
    vat = make_vat()
    address, sent = reverse("vat_change_over", args=[vat.pk]), over_data(vat)
    for _ in range(2):
        assert dipper.post(address, sent).url == vat.get_absolute_url()
    assert VatReading.objects.filter(kind="change-over").count() == 1
    vat.refresh_from_db()
    candle = make_candle(wax=vat.wax, colour=vat.colour)
    frame = make_frame(candle, state="hanging", dips=2, stage_dips=2)
    refused = dipper.post(address, over_data(vat))
    assert refused.status_code == 422
    assert f"{frame.code} is in the middle of a stage" in refused.content.decode()
    stale = dipper.post(address, over_data(vat, note="late") | {"version": "1"})
    assert stale.status_code == 422
    assert 'name="version" value="2"' in stale.content.decode()


def test_lists_and_logs_ask_the_same_of_one_row_and_of_thirty(dipper):
    vat = make_vat()
    make_vat_reading(vat)
    dipper.get("/vats/")
    one = asked(dipper, "/vats/"), asked(dipper, vat.get_absolute_url())
    for _ in range(29):
        make_vat_reading(vat), make_run(vat=make_vat())
    assert (asked(dipper, "/vats/"), asked(dipper, vat.get_absolute_url())) == one
    assert "30 vats are in use; the heat of " in dipper.get("/vats/").context["headline"]


def test_no_vat_is_said(owner):
    page = owner.get("/vats/")
    assert page.context["headline"] == "No vat is in use; nothing can be dipped."
    assert "Write down first what a wax may be heated to" in page.content.decode()
