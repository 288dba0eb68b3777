from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from config.roles import ROLES
from inventory.domain import set_up
from inventory.domain.versions import fingerprint
from inventory.models import Colour, Shelf, Wax, Workshop
from tests.factories import make_candle, make_colour, make_lot, make_person, make_shelf, make_wax
from tests.inventory.workshop_record import told

pytestmark = pytest.mark.django_db
SHELVES, WAXES, COLOURS, WORKSHOP = (f"/set-up/{name}/" for name in ("shelves", "waxes", "colours", "workshop"))
SHELF = {"code": "A1", "walk": "3", "note": "by the door"}
WAX = {"name": "Beeswax", "density_solid": "0.960", "density_liquid": "0.830"}
COLOUR = {"code": "MO", "name": "Moss", "hex": "#5e6b3a"}
LISTS = {
    "shelf": (SHELVES, SHELF, make_shelf),
    "wax": (WAXES, WAX, make_wax),
    "colour": (COLOURS, COLOUR, make_colour),
}


@pytest.fixture
def owner(client_for):
    return client_for("owner")


@pytest.mark.parametrize("name", LISTS)
def test_a_row_is_added_changed_and_deleted(owner, name):
    address, data, _ = LISTS[name]
    assert owner.post(address, data).url == address
    model = {"shelf": Shelf, "wax": Wax, "colour": Colour}[name]
    row = model.objects.get()
    page = owner.get(f"{address}{row.pk}/")
    form = page.context["form"]
    changed = {**data, "note": "moved"} if name == "shelf" else {**data, "name": "Another name"}
    assert owner.post(f"{address}{row.pk}/", {**changed, "seen": form["seen"].value()}).url == address
    row.refresh_from_db()
    assert "moved" in row.note if name == "shelf" else row.name == "Another name"
    assert owner.post(f"{address}{row.pk}/delete/").url == address
    assert not model.objects.exists()
    assert [line.split()[-1] for line in (told()[0], told()[-1])] == ["added", "deleted"]
    assert "became" in told()[1]


@pytest.mark.parametrize("role", ROLES)
@pytest.mark.parametrize("name", LISTS)
def test_only_owners_come_in(client_for, name, role):
    address, data, make = LISTS[name]
    row, client = make(), client_for(role)
    status = 200 if role == "owner" else 403
    for page in (address, f"{address}{row.pk}/"):
        assert client.get(page).status_code == status
    if role != "owner":
        for page in (address, f"{address}{row.pk}/", f"{address}{row.pk}/delete/"):
            assert client.post(page, data).status_code == 403
        assert type(row).objects.filter(pk=row.pk).count() == type(row).objects.count() == 1
    assert client.get(WORKSHOP).status_code == status


@pytest.mark.parametrize("name", LISTS)
def test_strangers_sign_in_first(client, name):
    address, data, make = LISTS[name]
    row = make()
    for page in (address, f"{address}{row.pk}/"):
        assert client.get(page).url == f"/sign-in/?next={page}"
        assert client.post(page, data).status_code == 403
    assert type(row).objects.count() == 1


@pytest.mark.parametrize("name", LISTS)
def test_unknown_rows_are_not_found_and_deleting_takes_a_post(owner, name):
    address, data, make = LISTS[name]
    for pk in ("0", "999999", "9" * 30):
        assert owner.get(f"{address}{pk}/").status_code == 404
        assert owner.post(f"{address}{pk}/", data).status_code == 404
        assert owner.post(f"{address}{pk}/delete/").status_code == 404
    assert owner.get(f"{address}{make().pk}/delete/").status_code == 405


@pytest.mark.parametrize("name", LISTS)
def test_sent_twice_makes_one_row(owner, name):
    address, data, _ = LISTS[name]
    owner.post(address, data)
    again = owner.post(address, data)
    assert again.status_code == 422
    assert again.context["form"].errors
    assert len(told()) == 1


@pytest.mark.parametrize("name", LISTS)
def test_the_second_to_save_is_told_and_sees_both(owner, name):
    address, data, make = LISTS[name]
    row = make()
    seen = owner.get(f"{address}{row.pk}/").context["form"]["seen"].value()
    field = "note" if name == "shelf" else "name"
    set_up.change_row(row=row, values={field: "what Bea wrote"}, seen=fingerprint(row, [field]), by=make_person())
    second = owner.post(f"{address}{row.pk}/", {**data, field: "what Ann wrote", "seen": seen})
    assert second.status_code == 422
    page = second.content.decode()
    assert "Somebody changed this while you were typing" in page
    assert "<dd>what Bea wrote</dd>" in page
    assert 'value="what Ann wrote"' in page
    row.refresh_from_db()
    assert getattr(row, field) == "what Bea wrote"
    seen = second.context["form"]["seen"].value()
    assert owner.post(f"{address}{row.pk}/", {**data, field: "what Ann wrote", "seen": seen}).status_code == 302
    row.refresh_from_db()
    assert getattr(row, field) == "what Ann wrote"


@pytest.mark.parametrize("seen", ["", "x" * 32, "0" * 16])
def test_a_forged_mark_of_what_was_seen_is_told_as_stale(owner, seen):
    row = make_shelf(code="B2")
    assert owner.post(f"{SHELVES}{row.pk}/", {**SHELF, "seen": seen}).status_code == 422
    row.refresh_from_db()
    assert row.code == "B2"


@pytest.mark.parametrize(
    ("name", "field", "value"),
    [
        ("shelf", "code", ""),
        ("shelf", "code", "x" * 9),
        ("shelf", "code", "A\0"),
        ("shelf", "walk", ""),
        ("shelf", "walk", "-1"),
        ("shelf", "walk", "1000000000"),
        ("shelf", "walk", "32768"),
        ("shelf", "walk", "third"),
        ("shelf", "note", "x" * 81),
        ("wax", "name", ""),
        ("wax", "name", "x" * 41),
        ("wax", "density_solid", ""),
        ("wax", "density_solid", "0"),
        ("wax", "density_solid", "-0.9"),
        ("wax", "density_solid", "0.79"),
        ("wax", "density_solid", "1.21"),
        ("wax", "density_solid", "960"),
        ("wax", "density_solid", "1000000000"),
        ("wax", "density_solid", "NaN"),
        ("wax", "density_solid", "heavy"),
        ("wax", "density_liquid", "0.5"),
        ("wax", "density_liquid", "0.83001"),
        ("wax", "density_liquid", "0.960"),
        ("wax", "density_liquid", "0.982"),
        ("colour", "code", ""),
        ("colour", "code", "mo"),
        ("colour", "code", "MOSSY"),
        ("colour", "code", "M O"),
        ("colour", "name", "x" * 41),
        ("colour", "hex", "green"),
        ("colour", "hex", "#fff"),
        ("colour", "hex", "#5E6B3A;}"),
        ("colour", "hex", '#5e6b3a"'),
    ],
)
def test_bad_input_is_refused_beside_what_was_typed(owner, name, field, value):
    address, data, _ = LISTS[name]
    response = owner.post(address, {**data, field: value})
    assert response.status_code == 422
    form = response.context["form"]
    # The two densities together are wrong, not one of them: that stands at the head.
    assert list(form.errors) == (["__all__"] if value in ("0.960", "0.982") else [field])
    assert form[field].value() == value
    assert told() == []


@pytest.mark.parametrize(
    ("make", "use", "words"),
    [
        (make_shelf, lambda row: make_candle(shelf=row), "it is used by 1 candle"),
        (make_shelf, lambda row: make_lot(make_candle(shelf=row), shelf=row), "it is used by 1 candle and 1 lot"),
        (make_wax, lambda row: [make_candle(wax=row) for _ in range(3)], "it is used by 3 candles"),
        (make_colour, lambda row: make_candle(colour=row), "it is used by 1 candle"),
    ],
)
def test_what_is_in_use_stays_and_says_by_what(owner, make, use, words):
    row = make()
    use(row)
    address = {Shelf: SHELVES, Wax: WAXES, Colour: COLOURS}[type(row)]
    response = owner.post(f"{address}{row.pk}/delete/")
    assert response.status_code == 422
    assert words in response.content.decode()
    assert type(row).objects.filter(pk=row.pk).exists()
    assert told() == []


@pytest.mark.parametrize("name", LISTS)
def test_a_list_asks_the_same_of_one_row_and_of_thirty(owner, name, django_assert_num_queries):
    address, _, make = LISTS[name]
    make()
    owner.get(address)
    with django_assert_num_queries(4 if name == "shelf" else 3):
        owner.get(address)
    for n in range(29):
        row = make(code=f"Q{n}") if name == "colour" else make()
        make_candle(**{name: row})
    with django_assert_num_queries(4 if name == "shelf" else 3):
        assert owner.get(address).status_code == 200


def test_constraints_hold_without_the_form():
    wrong = {"density_solid": Decimal("0.9"), "density_liquid": Decimal("0.95")}
    with pytest.raises(ValidationError):
        set_up.add_row(row=Wax(name="Misprint", **wrong), by=make_person())
    with pytest.raises(IntegrityError), transaction.atomic():
        Wax.objects.create(name="Misprint", **wrong)
    with pytest.raises(IntegrityError), transaction.atomic():
        Workshop.objects.create(pk=2, name="A second one", address="x", town="x", postcode="x")


def test_a_wax_that_shrinks_oddly_is_pointed_at(owner):
    make_wax(name="Odd", density_solid=Decimal("0.960"), density_liquid=Decimal("0.940"))
    assert "2.1 %; unusual, look at the data sheet" in owner.get(WAXES).content.decode()


def test_hot_wax_cautions_stand_beside_the_waxes(owner):
    page = owner.get(WAXES).content.decode()
    for caution in ("data sheet of the wax, local codes and licensed practice go before", "Never water", "class B"):
        assert caution in page
