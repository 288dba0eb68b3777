"""The catalogue: its rules, by the form and by the bare tables, and its pages."""

from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.models import Candle, Record
from tests.factories import make_candle, make_colour, make_shelf, make_wax

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
        "needs_holder": "on",
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
    ("wick_of", "999999"),
    ("burn_g_hour", "0"),
    ("burn_g_hour", "101"),
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
    keys = {"wax": candle.wax_id, "colour": candle.colour_id, "vat_class": candle.vat_class}
    ticked = {"active": "on", "needs_holder": "on"}
    return {**values, **keys, **ticked, "version": candle.version, **changes}


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
