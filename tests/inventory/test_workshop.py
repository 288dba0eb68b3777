"""The workshop's own page: what stands at the head of every paper."""

import pytest

from inventory.domain import set_up
from inventory.domain.versions import StaleVersion
from inventory.models import Workshop
from tests.factories import make_workshop
from tests.inventory.workshop_record import told

pytestmark = pytest.mark.django_db
WORKSHOP = "/set-up/workshop/"
WORKSHOP_FORM = {
    "name": "Tallow Lane Candles",
    "address": "2 Tallow Lane",
    "town": "Wexcombe",
    "postcode": "ZZ1 1AA",
    "country": "GB",
    "telephone": "01632 960001",
    "email": "hello@tallowlane.example",
    "returns_address": "",
    "company_number": "",
    "vat_number": "999 9999 73",
    "vat_rounding": "half-up",
    "bank_name": "Example Bank",
    "account_name": "Tallow Lane Candles",
    "sort_code": "00-00-00",
    "account_number": "00000000",
    "seconds_share": "0.5",
}


@pytest.fixture
def owner(client_for):
    return client_for("owner")


def test_the_workshop_is_written_down_and_changed(owner):
    assert "What is the workshop called" in owner.get(WORKSHOP).content.decode()
    assert owner.post(WORKSHOP, {**WORKSHOP_FORM, "version": "0"}).url == "/set-up/"
    workshop = Workshop.objects.get()
    assert (workshop.vat_number, workshop.version, workshop.pk) == ("GB999999973", 1, 1)
    owner.post(WORKSHOP, {**WORKSHOP_FORM, "town": "Orrin Bay", "version": "1"})
    workshop.refresh_from_db()
    assert (workshop.town, workshop.version) == ("Orrin Bay", 2)
    assert told() == ["Workshop written down", "Workshop: town became Orrin Bay, before Wexcombe"]


def test_bank_details_that_change_are_on_record(owner):
    make_workshop()
    owner.post(WORKSHOP, {**WORKSHOP_FORM, "account_number": "11111111", "version": "1"})
    assert told() == ["Workshop: account number became 11111111, before 00000000"]


def test_saving_the_workshop_unchanged_leaves_no_record(owner):
    make_workshop()
    assert owner.post(WORKSHOP, {**WORKSHOP_FORM, "version": "1"}).status_code == 302
    assert told() == []


def test_two_owners_at_the_workshops_page(owner):
    make_workshop()
    owner.post(WORKSHOP, {**WORKSHOP_FORM, "town": "Orrin Bay", "version": "1"})
    second = owner.post(WORKSHOP, {**WORKSHOP_FORM, "name": "Ann's Candles", "version": "1"})
    assert second.status_code == 422
    page = second.content.decode()
    assert "Somebody changed this while you were typing" in page
    assert "<dd>Orrin Bay</dd>" in page
    assert "Ann&#x27;s Candles" in page
    assert Workshop.objects.get().name == WORKSHOP_FORM["name"]
    again = owner.post(WORKSHOP, {**WORKSHOP_FORM, "name": "Ann's Candles", "version": "2"})
    assert again.status_code == 302


def test_two_owners_at_the_first_writing(owner):
    owner.post(WORKSHOP, {**WORKSHOP_FORM, "version": "0"})
    assert owner.post(WORKSHOP, {**WORKSHOP_FORM, "town": "Elsewhere", "version": "0"}).status_code == 422
    assert Workshop.objects.get().town == "Wexcombe"
    with pytest.raises(StaleVersion):
        set_up.save_workshop(values={"town": "Elsewhere"}, version=0, by=owner.person)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("name", ""),
        ("name", "x" * 81),
        ("address", "x" * 301),
        ("address", "a\0b"),
        ("country", "gb"),
        ("country", "GBR"),
        ("country", "1"),
        ("email", "nobody"),
        ("vat_number", "GB123456789"),
        ("vat_number", "x" * 21),
        ("vat_rounding", "up"),
        ("sort_code", "123456"),
        ("sort_code", "aa-bb-cc"),
        ("sort_code", ""),
        ("account_number", "1234567"),
        ("account_number", "123456789"),
        ("account_number", ""),
        ("bank_name", ""),
        ("seconds_share", ""),
        ("seconds_share", "0"),
        ("seconds_share", "1.01"),
        ("seconds_share", "-0.5"),
        ("seconds_share", "0.555"),
        ("seconds_share", "half"),
        ("gs1_prefix", "12345"),
        ("gs1_prefix", "29x0000"),
    ],
)
def test_a_wrong_workshop_is_refused_at_the_field(owner, field, value):
    response = owner.post(WORKSHOP, {**WORKSHOP_FORM, "version": "0", field: value})
    assert response.status_code == 422
    assert list(response.context["form"].errors) == [field]
    assert response.context["form"][field].value() == value
    assert response.context["form"]["town"].value() == "Wexcombe"
    assert not Workshop.objects.exists()


@pytest.mark.parametrize("version", ["", "x", "-1", "1000000000000"])
def test_a_forged_version_is_no_way_in(owner, version):
    make_workshop()
    response = owner.post(WORKSHOP, {**WORKSHOP_FORM, "town": "Elsewhere", "version": version})
    assert response.status_code == 422
    assert Workshop.objects.get().town == "Wexcombe"


def test_without_bank_details_the_workshop_may_stand(owner):
    without = dict.fromkeys(("bank_name", "account_name", "sort_code", "account_number"), "")
    assert owner.post(WORKSHOP, {**WORKSHOP_FORM, **without, "version": "0"}).status_code == 302
