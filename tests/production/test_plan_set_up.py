"""What the set-up tells the plan: change-over times, the waxes a vat may hold, wax in hand."""

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.urls import reverse

from inventory.models import Record
from production.domain.vats import change_over
from production.models import ChangeOver, Vat, WaxHeat
from tests.factories import make_colour, make_wax
from tests.factories.floor import make_change_over, make_heat, make_vat
from tests.factories.materials import make_blend, make_material_lot
from tests.production.setup_pages import CHANGES, HEATS, change_data, vat_data

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(client_for):
    return client_for("owner")


def test_no_change_over_from_a_colour_to_itself(owner):
    data = change_data()
    response = owner.post(CHANGES, {**data, "to_colour": data["from_colour"]})
    assert response.status_code == 422
    assert "From and to are the same." in response.content.decode()
    row = make_change_over()
    with pytest.raises(IntegrityError), transaction.atomic():
        make_change_over(wax=row.from_wax, from_colour=row.to_colour, to_colour=row.to_colour)


def test_a_pair_of_colours_has_one_time(owner):
    data = change_data()
    assert owner.post(CHANGES, data).status_code == 302
    assert owner.post(CHANGES, {**data, "minutes": "50"}).status_code == 422
    row = ChangeOver.objects.get()
    assert (row.minutes, str(row)) == (
        30,
        f"from {row.from_wax} in {row.from_colour} to {row.to_wax} in {row.to_colour}",
    )
    with pytest.raises(IntegrityError), transaction.atomic():
        make_change_over(wax=row.from_wax, from_colour=row.from_colour, to_colour=row.to_colour)


def test_the_list_says_which_wax_and_colour(owner):
    row = make_change_over(from_colour=make_colour(name="Ivory"), to_colour=make_colour(name="Plum"))
    page = owner.get(CHANGES).content.decode()
    assert f"{row.from_wax}, ivory" in page
    assert f"{row.to_wax}, plum" in page


def test_wax_in_hand_is_written_down_and_may_be_unknown(owner):
    heat = make_heat(make_wax())
    address = f"{HEATS}{heat.pk}/"
    sent = {"wax": heat.wax_id, "congeals_c": "58", "flash_c": "190", "discolours_c": "", "in_hand_kg": "412.5"}
    sent["seen"] = owner.get(address).context["form"]["seen"].value()
    assert owner.post(address, sent).status_code == 302
    assert WaxHeat.objects.get().in_hand_kg == Decimal("412.5")
    assert "412.5 kg" in owner.get(HEATS).content.decode()
    sent["seen"] = owner.get(address).context["form"]["seen"].value()
    owner.post(address, {**sent, "in_hand_kg": ""})
    assert WaxHeat.objects.get().in_hand_kg is None
    assert "not known" in owner.get(HEATS).content.decode()


def test_wax_in_hand_of_a_blend_is_what_its_lots_give(owner):
    heat = make_heat(make_wax(), in_hand_kg=Decimal(5))
    (material,) = make_blend(heat.wax)
    make_material_lot(material, 84_200)
    assert "84.2 kg, by the lots" in owner.get(HEATS).content.decode()


def test_a_vat_may_hold_some_waxes_only(owner):
    vat, beeswax = make_vat(name="North vat"), make_wax(name="Beeswax")
    make_heat(beeswax)
    address = reverse("vat_edit", args=[vat.pk])
    refused = owner.post(address, vat_data(may_hold=[beeswax.pk], version="1"))
    assert refused.status_code == 422
    assert f"It holds {vat.wax} now" in refused.context["form"].errors["may_hold"][0]
    assert list(Vat.objects.get().may_hold.all()) == []
    assert owner.post(address, vat_data(may_hold=[vat.wax_id], version="1")).status_code == 302
    assert list(Vat.objects.get().may_hold.all()) == [vat.wax]
    told = Record.objects.filter(subject="vat", subject_id=vat.pk).get().what
    assert f"waxes it may hold became {vat.wax}, before nothing" in told
    values = {"wax": beeswax, "colour": make_colour(), "set_c": 70, "cut_out_c": 110, "level_mm": 30, "note": ""}
    with pytest.raises(ValidationError, match=f"may hold {vat.wax} only"):
        change_over(vat=vat, version=2, values=values, by=owner.person)
    assert Vat.objects.get().wax == vat.wax


def test_a_new_vat_may_be_told_at_once(owner):
    wax, colour = make_wax(), make_colour()
    make_heat(wax)
    sent = vat_data(wax=wax.pk, colour=colour.pk, may_hold=[wax.pk])
    assert owner.post(reverse("vat_new"), sent).status_code == 302
    assert list(Vat.objects.get().may_hold.all()) == [wax]


def test_a_key_no_database_has_room_for_is_refused(owner):
    answer = owner.post(reverse("vat_new"), {"version": 0, "name": "B", "may_hold": "9" * 31})
    assert answer.status_code == 422
    assert "may_hold" in answer.context["form"].errors
