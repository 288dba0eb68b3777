"""Set-up of suppliers and materials, blends and dyes: written down whole, refused whole."""

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.urls import reverse

from inventory.domain.mixes import blend_of, dyes_of, seen_of, set_blend, set_dyes
from inventory.domain.versions import StaleVersion
from inventory.models import BlendPart, DyePart, Material, Record, Supplier
from tests.factories import make_colour, make_person, make_wax
from tests.factories.materials import make_blend, make_material, make_material_lot, make_supplier

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(client_for):
    return client_for("owner")


def blend(wax, seen="", **parts):
    set_blend(
        wax=wax, parts={make_material(name=n): Decimal(p) for n, p in parts.items()}, seen=seen, by=make_person()
    )


def test_a_blend_makes_a_hundred_or_nothing():
    wax = make_wax()
    with pytest.raises(ValidationError, match=r"make 99\.5 %, not 100 %"):
        blend(wax, paraffin="80", stearin="19.5")
    assert not BlendPart.objects.exists()
    blend(wax, paraffin2="80", stearin2="20")
    before = blend_of(wax)
    assert {material.name: percent for material, percent in before.items()} == {"paraffin2": 80, "stearin2": 20}
    set_blend(wax=wax, parts={}, seen=seen_of(before), by=make_person())
    assert not BlendPart.objects.exists()
    assert Record.objects.filter(what__contains="became nothing, before paraffin2 80 %, stearin2 20 %").exists()


def test_the_second_of_two_is_told_and_the_same_again_is_nothing():
    wax, by = make_wax(), make_person()
    blend(wax, paraffin="100")
    parts = blend_of(wax)
    set_blend(wax=wax, parts=parts, seen="", by=by)
    assert Record.objects.filter(what__contains="Blend of").count() == 1
    with pytest.raises(StaleVersion):
        set_blend(wax=wax, parts={make_material(): Decimal(100)}, seen="", by=by)


def test_only_bought_wax_is_blended_and_only_dye_dyes():
    wax, colour, by = make_wax(), make_colour(), make_person()
    own = make_material(remelt_of=wax, remelt_colour=colour)
    for material in (own, make_material("dye")):
        with pytest.raises(ValidationError, match="no wax that is bought"):
            set_blend(wax=wax, parts={material: Decimal(100)}, seen="", by=by)
    with pytest.raises(ValidationError, match="is no dye"):
        set_dyes(colour=colour, parts={make_material(): Decimal(2)}, seen="", by=by)
    dye = make_material("dye")
    set_dyes(colour=colour, parts={dye: Decimal("2.5")}, seen="", by=by)
    assert dyes_of(colour) == {dye: Decimal("2.5")}


@pytest.mark.parametrize("percent", [0, -1, 101])
def test_the_table_refuses_shares_that_are_none(percent):
    with pytest.raises(IntegrityError), transaction.atomic():
        BlendPart.objects.create(wax=make_wax(), material=make_material(), percent=percent)
    with pytest.raises(IntegrityError), transaction.atomic():
        DyePart.objects.create(colour=make_colour(), material=make_material("dye"), grams_a_kilo=percent)


def test_the_blend_page(owner, client_for):
    wax = make_wax(name="Dipping blend")
    make_blend(wax, a=100)
    url, rows = reverse("blend", args=[wax.pk]), [make_material(name=name) for name in ("Paraffin", "Stearin")]
    assert client_for("packer").get(url).status_code == 403
    page = owner.get(url)
    sent = {
        "seen": page.context["form"]["seen"].value(), "material_1": rows[0].pk, "figure_1": "80",
        "material_3": rows[1].pk, "figure_3": "15",
    }  # fmt: skip
    answer = owner.post(url, sent)
    assert answer.status_code == 422
    assert "The parts make 95 %, not 100 %" in answer.content.decode()
    assert answer.context["form"]["figure_3"].value() == "15"
    assert owner.post(url, {**sent, "figure_3": "20"}).status_code == 302
    assert "Paraffin 80 %, Stearin 20 %" in owner.get(reverse("blends")).content.decode()
    second = owner.post(
        url, {**sent, "figure_3": "20", "figure_1": "70", "material_2": make_material().pk, "figure_2": "10"}
    )
    assert second.status_code == 422
    assert "Paraffin 80 %, Stearin 20 %" in second.content.decode()
    assert second.context["form"]["figure_1"].value() == "70"


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"figure_1": ""}, "figure_1"),
        ({"material_1": ""}, "material_1"),
        ({"material_2": "1"}, "material_2"),
        ({"figure_1": "0"}, "figure_1"),
        ({"figure_1": "NaN"}, "figure_1"),
        ({"figure_1": "0.0001"}, "figure_1"),
        ({"material_1": "99999"}, "material_1"),
    ],
)
def test_dyes_that_cannot_be_meant(owner, changed, field):
    colour, dye = make_colour(), make_material("dye", pk=1)
    url, sent = reverse("dye", args=[colour.pk]), {"material_1": dye.pk, "figure_1": "2.5", "figure_2": "1"}
    if "material_2" not in changed:
        del sent["figure_2"]
    answer = owner.post(url, {**sent, **changed})
    assert answer.status_code == 422
    assert field in answer.context["form"].errors
    assert not DyePart.objects.exists()


def test_materials_are_written_down_as_they_are_bought(owner):
    sent = {"name": "Flat 24 ply", "kind": "wick", "supplier": make_supplier().pk, "pack": "250", "keep": "1200.5"}
    sent |= {"supplier_code": "F24", "active": "on"}
    assert owner.post(reverse("materials_setup"), sent).status_code == 302
    wick = Material.objects.get()
    assert (wick.pack, wick.keep) == (250_000, 1_200_500)
    url = reverse("material_setup", args=[wick.pk])
    form = owner.get(url).context["form"]
    assert (form["pack"].value(), form["keep"].value()) == ("250", "1200.5")
    sent["seen"] = form["seen"].value()
    make_material_lot(wick, 500)
    refused = owner.post(url, {**sent, "kind": "box", "keep": "12"})
    assert refused.status_code == 422
    assert "It is in use as wick" in refused.content.decode()
    assert owner.post(url, {**sent, "keep": "800"}).status_code == 302
    assert Material.objects.get().keep == 800_000
    assert owner.post(reverse("material_setup_delete", args=[wick.pk])).status_code == 422


@pytest.mark.parametrize(
    ("field", "value"),
    [("name", ""), ("kind", "glass"), ("pack", "-1"), ("keep", "0.0005"), ("keep", "x"), ("pack", "1e9")],
)
def test_materials_that_cannot_be_meant(owner, field, value):
    sent = {"name": "Stearin", "kind": "wax", "pack": "0", "keep": "0", "active": "on", field: value}
    answer = owner.post(reverse("materials_setup"), sent)
    assert answer.status_code == 422
    assert field in answer.context["form"].errors
    assert answer.context["form"][field].value() == value
    assert not Material.objects.exists()


def test_a_supplier_is_added_changed_and_kept_while_in_use(owner):
    sent = {
        "name": "Hexley Mill",
        "lead_days": "12",
        "email": "",
        "telephone": "01632 960944",
        "note": "",
        "active": "on",
    }
    assert owner.post(reverse("suppliers"), sent).status_code == 302
    assert owner.post(reverse("suppliers"), {**sent, "name": "Other", "lead_days": "366"}).status_code == 422
    supplier = Supplier.objects.get()
    url = reverse("supplier", args=[supplier.pk])
    sent["seen"] = owner.get(url).context["form"]["seen"].value()
    assert owner.post(url, {**sent, "lead_days": "14"}).status_code == 302
    assert Supplier.objects.get().lead_days == 14
    make_material(supplier=supplier)
    assert owner.post(reverse("supplier_delete", args=[supplier.pk])).status_code == 422
