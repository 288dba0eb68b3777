"""What is typed or scanned to trace it: the code found, asked about, or told to be unknown."""

import pytest
from django.urls import reverse
from django.utils import timezone

from orders.models import CaseLabel
from orders.scanned import codes_in
from tests.factories import make_lot, make_person
from tests.factories.materials import make_material, make_material_lot
from tests.factories.traced import make_sent_from

pytestmark = pytest.mark.django_db


def test_an_unknown_code_is_told_beside_the_field_with_the_nearest(client_for):
    make_lot(code="F26-1125-03")
    response = client_for("packer").get(reverse("trace"), {"q": "F26-1125-8"})
    text = response.content.decode()
    assert response.status_code == 422
    assert 'value="F26-1125-8"' in text
    assert "Nothing in the book bears the code F26-1125-8." in text
    assert "Lot F26-1125-03" in text


@pytest.mark.parametrize("typed", ["", " ", "\x00", "]C1", "%00", "x" * 200, "(10)", "' OR 1=1", "٣"])
def test_whatever_is_typed_is_answered(typed, client_for):
    assert client_for("packer").get(reverse("trace"), {"q": typed}).status_code in (200, 422)


def test_the_number_of_a_case_leads_to_its_box(client_for):
    box = make_sent_from(make_lot(), 12).boxes.get()
    sscc = "106141411234567897"
    CaseLabel.objects.create(box=box, serial=1, sscc=sscc, made_at=timezone.now(), made_by=make_person())
    response = client_for("packer").get(reverse("trace"), {"q": f"]C100{sscc}"})
    assert response.url == reverse("trace_of", args=["box", box.pk])


def test_a_supplier_s_code_of_two_lots_asks_which(client_for):
    for code in ("SW/77", "sw/77"):
        make_material_lot(make_material(), 10, supplier_lot=code)
    response = client_for("packer").get(reverse("trace"), {"q": "SW/77"})
    assert "2 things bear the code SW/77: which is it?" in response.content.decode()


def test_what_is_not_there_is_not_found(client_for):
    client = client_for("packer")
    for kind in ("lot", "nothing"):
        assert client.get(reverse("trace_of", args=[kind, 10**9])).status_code == 404


LABEL = "(02)06291041500213(37)24(10)F26-1125-03"


@pytest.mark.parametrize(
    ("typed", "codes"),
    [
        ("F26-1125-03", ["F26-1125-03"]),
        (LABEL, ["F26-1125-03", LABEL]),
        ("]C102062910415002133724\x1d10F26-1125-03", ["F26-1125-03", "02062910415002133724 10F26-1125-03"]),
        ("]C1310300240010F26-1\x1d", ["F26-1", "310300240010F26-1"]),
        ("]C100106141411234567897", ["106141411234567897", "00106141411234567897"]),
        ("10F26", ["F26", "10F26"]),
        ("R2612", ["R2612"]),
        ("  dn-1001/2 ", ["dn-1001/2"]),
    ],
)
def test_a_scanned_label_means_the_lot_or_the_box_it_names(typed, codes):
    assert codes_in(typed) == codes
