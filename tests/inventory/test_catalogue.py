"""The catalogue: its rules, by the form and by the bare tables, and its pages."""

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.urls import reverse

from inventory.domain.catalogue import add_candle, change_candle
from inventory.domain.versions import StaleVersion
from inventory.models import Candle, Record, Wax
from tests.factories import make_candle, make_colour, make_lot, make_person, make_shelf, make_wax

pytestmark = pytest.mark.django_db


@pytest.fixture
def typed():
    """What the form sends for a good new candle."""
    return {
        "code": "iv250",
        "name": "Ivory taper 250 x 22",
        "length_mm": "250",
        "base_mm": "22",
        "tip_mm": "16",
        "wax": make_wax(name="Paraffin").pk,
        "colour": make_colour(name="Ivory").pk,
        "wick": "flat braid 24 ply",
        "pairs_per_box": "24",
        "gtin": "6291041500213",
        "trade_price": "2.20",
        "vat_class": "standard",
        "shelf": make_shelf(code="A1").pk,
        "active": "on",
        "version": "0",
    }


WRONG = [
    ("code", ""),
    ("code", "IV 250"),
    ("code", "X" * 13),
    ("code", "IV\x00250"),
    ("name", ""),
    ("name", "x" * 81),
    ("length_mm", "0"),
    ("length_mm", "-250"),
    ("length_mm", "1000000000"),
    ("length_mm", "long"),
    ("length_mm", "NaN"),
    ("base_mm", "0"),
    ("tip_mm", "0"),
    ("tip_mm", "22.1"),
    ("wax", "999999"),
    ("wax", "9" * 30),
    ("colour", ""),
    ("wick", ""),
    ("pairs_per_box", "0"),
    ("pairs_per_box", "1000000000"),
    ("pairs_per_box", "1.5"),
    ("gtin", "6291041500214"),
    ("gtin", "12345"),
    ("trade_price", "0"),
    ("trade_price", "-1"),
    ("trade_price", "1000000000"),
    ("trade_price", "2.205"),
    ("vat_class", "luxury"),
    ("shelf", "999999"),
]


def test_owner_puts_a_candle_in(client_for, typed):
    client = client_for("owner")
    assert client.get(reverse("candle_new")).status_code == 200
    answer = client.post(reverse("candle_new"), typed)
    candle = Candle.objects.get()
    assert answer.url == candle.get_absolute_url()
    assert (candle.code, candle.gtin, candle.trade_price) == ("IV250", "6291041500213", Decimal("2.20"))
    assert Record.objects.get(subject="candle", subject_id=candle.pk).person == client.person


@pytest.mark.parametrize(("field", "value"), WRONG)
def test_wrong_field_is_refused_beside_it_and_the_typing_kept(client_for, typed, field, value):
    answer = client_for("owner").post(reverse("candle_new"), {**typed, field: value})
    assert answer.status_code == 422
    assert field in answer.context["form"].errors
    assert answer.context["form"]["wick"].value() == ("" if field == "wick" else "flat braid 24 ply")
    assert not Candle.objects.exists()


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("code", "iv250", "Another candle has this code."),
        ("name", "Ivory taper 250 x 22", "Another candle has this name."),
        ("gtin", "6291041500213", "In use: it is the GTIN of IV250, Ivory taper 250 x 22."),
    ],
)
def test_code_name_and_gtin_are_used_once(client_for, typed, field, value, said):
    client = client_for("owner")
    client.post(reverse("candle_new"), typed)
    others = {"code": "IV251", "name": "Other", "gtin": ""}
    answer = client.post(reverse("candle_new"), {**typed, **others, field: value})
    assert answer.status_code == 422
    assert answer.context["form"].errors == {field: [said]}
    assert Candle.objects.count() == 1


def test_candle_sent_twice_is_put_in_once(client_for, typed):
    client = client_for("owner")
    for _ in range(2):
        client.post(reverse("candle_new"), typed)
    assert Candle.objects.count() == 1


def sent(candle, **changes):
    """The edit form of a candle, as the browser sends it."""
    values = {
        name: getattr(candle, name)
        for name in ("code", "name", "length_mm", "base_mm", "tip_mm", "wick", "pairs_per_box", "gtin", "trade_price")
    }
    keys = {"wax": candle.wax_id, "colour": candle.colour_id, "vat_class": candle.vat_class, "active": "on"}
    return {**values, **keys, "version": candle.version, **changes}


def test_owner_changes_a_candle_and_the_record_tells_old_and_new(client_for):
    client, candle = client_for("owner"), make_candle()
    url = reverse("candle_edit", args=[candle.pk])
    assert client.get(url).status_code == 200
    assert client.post(url, sent(candle, trade_price="2.40")).url == candle.get_absolute_url()
    candle.refresh_from_db()
    assert (candle.trade_price, candle.version) == (Decimal("2.40"), 2)
    assert "2.20 to 2.40" in Record.objects.get(subject="candle").what


def test_unchanged_form_changes_nothing(client_for):
    client, candle = client_for("owner"), make_candle()
    client.post(reverse("candle_edit", args=[candle.pk]), sent(candle))
    candle.refresh_from_db()
    assert candle.version == 1
    assert not Record.objects.filter(subject="candle").exists()


def test_second_of_two_owners_is_told_and_loses_nothing(client_for):
    client, candle = client_for("owner"), make_candle()
    url = reverse("candle_edit", args=[candle.pk])
    client.post(url, sent(candle, trade_price="2.40"))
    answer = client_for("owner").post(url, sent(candle, trade_price="3.00", wick="square braid"))
    assert answer.status_code == 422
    form = answer.context["form"]
    assert (form["trade_price"].value(), form["wick"].value()) == ("3.00", "square braid")
    text = answer.content.decode()
    assert "2.40 in the book; you typed 3.00" in text
    candle.refresh_from_db()
    assert candle.trade_price == Decimal("2.40")
    # Sent once more from the page as it now stands, it is meant.
    data = {name: form[name].value() for name in form.fields if form[name].value() is not None}
    client.post(url, data)
    candle.refresh_from_db()
    assert (candle.trade_price, candle.version) == (Decimal("3.00"), 3)


@pytest.mark.parametrize(("field", "value"), WRONG)
def test_wrong_change_is_refused_and_changes_nothing(client_for, field, value):
    candle = make_candle()
    answer = client_for("owner").post(reverse("candle_edit", args=[candle.pk]), sent(candle, **{field: value}))
    assert answer.status_code == 422
    assert field in answer.context["form"].errors
    assert Candle.objects.get(pk=candle.pk).version == 1


@pytest.mark.parametrize("version", ["", "abc", "-1", "9" * 20])
def test_broken_version_is_refused(client_for, version):
    candle = make_candle()
    data = sent(candle, version=version, trade_price="9")
    assert client_for("owner").post(reverse("candle_edit", args=[candle.pk]), data).status_code == 422
    assert Candle.objects.get(pk=candle.pk).trade_price == Decimal("2.20")


@pytest.mark.parametrize("role", ["packer", "dipper", "bookkeeper"])
def test_only_the_owner_writes_the_catalogue(client_for, typed, role):
    client, candle = client_for(role), make_candle()
    for url in (reverse("candle_new"), reverse("candle_edit", args=[candle.pk])):
        assert client.get(url).status_code == 403
        assert client.post(url, typed).status_code == 403
    assert Candle.objects.get() == candle
    assert client.get(reverse("candles")).status_code == 200
    assert client.get(candle.get_absolute_url()).status_code == 200


def test_unknown_candles_are_not_found(client_for):
    client = client_for("owner")
    for url in ("/candles/999/", "/candles/999/edit/", f"/candles/{'9' * 30}/"):
        assert client.get(url).status_code == 404


def test_candle_page_tells_its_weight_and_how_it_came_about(client_for):
    candle = make_candle(wax=make_wax(name="Paraffin"))
    make_lot(candle, pairs=30, set_aside=12)
    text = client_for("packer").get(candle.get_absolute_url()).content.decode()
    assert "18 of 30 pairs of firsts are free" in text
    assert "128.64 g: each candle holds 71.47 cm³ of wax, at 0.900 g to the cm³ 64.32 g." in text
    assert "250 mm long, 22 mm at the base, 16 mm at the tip" in text
    assert "Handbooks" not in text
    assert "/orders/" not in text.split('<main id="main"')[1]


def test_candle_page_doubts_a_density_outside_the_handbook(client_for):
    candle = make_candle(wax=make_wax(name="Beeswax", density_solid=Decimal("0.99"), density_liquid=Decimal("0.85")))
    text = client_for("packer").get(candle.get_absolute_url()).content.decode()
    assert "Handbooks give 0.94 to 0.98 g/cm3 for solid Beeswax, not 0.990." in text


@pytest.mark.parametrize(
    ("query", "codes"),
    [
        ({}, ["AA1", "BB1", "CC1"]),
        ({"q": "bb"}, ["BB1"]),
        ({"q": "moss"}, ["CC1"]),
        ({"active": "yes"}, ["AA1", "BB1"]),
        ({"active": "no"}, ["CC1"]),
        ({"sort": "-code"}, ["CC1", "BB1", "AA1"]),
        ({"page": "99"}, ["AA1", "BB1", "CC1"]),
        ({"q": "a\x00", "wax": "x", "colour": "9" * 30, "active": "?"}, ["AA1", "BB1", "CC1"]),
    ],
)
def test_catalogue_is_searched_filtered_and_sorted(client_for, query, codes):
    for code, active in (("AA1", True), ("BB1", True), ("CC1", False)):
        make_candle(code=code, name=f"{'Moss' if code == 'CC1' else 'Ivory'} {code}", active=active)
    answer = client_for("bookkeeper").get(reverse("candles"), query)
    assert [row.record.code for row in answer.context["table"].page.object_list] == codes
    assert "2 candles in the catalogue" in answer.content.decode()


def test_catalogue_filters_by_wax_and_colour(client_for):
    make_candle()
    wax, colour = make_wax(), make_colour()
    both = make_candle(wax=wax, colour=colour)
    for query in ({"wax": wax.pk}, {"colour": colour.pk}):
        answer = client_for("owner").get(reverse("candles"), query)
        assert [row.record for row in answer.context["table"].page.object_list] == [both]


@pytest.mark.parametrize("rows", [1, 30])
def test_catalogue_asks_as_much_for_one_row_as_for_thirty(client_for, django_assert_num_queries, rows):
    for _ in range(rows):
        make_lot(make_candle(), by=make_person())
    client = client_for("owner")
    with django_assert_num_queries(7):
        client.get(reverse("candles"))


@pytest.mark.parametrize("rows", [1, 30])
def test_candle_page_asks_as_much_for_one_lot_as_for_thirty(client_for, django_assert_num_queries, rows):
    candle = make_candle()
    for _ in range(rows):
        make_lot(candle, by=make_person())
    client = client_for("owner")
    with django_assert_num_queries(5):
        client.get(candle.get_absolute_url())


@pytest.mark.parametrize(
    "fields",
    [
        {"tip_mm": 23},
        {"tip_mm": 0},
        {"length_mm": 0},
        {"trade_price": 0},
        {"pairs_per_box": 0},
        {"code": "TAKEN"},
        {"name": "Taken"},
        {"gtin": "6291041500213"},
    ],
)
def test_bare_candle_the_database_refuses(fields):
    make_candle(code="TAKEN", name="Taken", gtin="6291041500213")
    with pytest.raises(IntegrityError), transaction.atomic():
        make_candle(**fields)


def test_many_candles_may_have_no_gtin():
    make_candle()
    make_candle()
    assert Candle.objects.filter(gtin="").count() == 2


@pytest.mark.parametrize(
    "densities", [("0.900", "0.900"), ("0.900", "0.950"), ("0.900", "0"), ("0.900", "-0.1"), ("1.300", "1.200")]
)
def test_wax_is_lighter_molten_by_full_clean_and_by_bare_create(densities):
    wax = Wax(name="Misprint", density_solid=Decimal(densities[0]), density_liquid=Decimal(densities[1]))
    with pytest.raises(ValidationError, match="lighter molten"):
        wax.full_clean()
    with pytest.raises(IntegrityError), transaction.atomic():
        wax.save()


def test_change_candle_is_told_of_a_stale_version():
    candle, by = make_candle(), make_person()
    change_candle(candle=candle, version=1, fields={"wick": "square braid"}, by=by)
    with pytest.raises(StaleVersion):
        change_candle(candle=candle, version=1, fields={"wick": "flat"}, by=by)


def test_code_taken_at_the_same_moment_is_named_at_its_field(monkeypatch):
    candle = make_candle(code="IV250")
    checks = []
    whole = Candle.full_clean

    def blind_once(self, *args, **kwargs):
        """The first look comes before the other owner's candle is there."""
        checks.append(self)
        if len(checks) > 1:
            whole(self, *args, **kwargs)

    monkeypatch.setattr(Candle, "full_clean", blind_once)
    fields = {"code": "IV250", "name": "Other", "wax": candle.wax, "colour": candle.colour, "wick": "flat"}
    shape = {"length_mm": 100, "base_mm": 20, "tip_mm": 20, "pairs_per_box": 6, "trade_price": Decimal("1")}
    with pytest.raises(ValidationError) as caught:
        add_candle(fields={**fields, **shape}, by=make_person())
    assert "code" in caught.value.message_dict
