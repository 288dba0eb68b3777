"""The catalogue's pages, and what the bare tables refuse."""

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.urls import reverse

from inventory.domain.catalogue import add_candle, change_candle
from inventory.domain.versions import StaleVersion
from inventory.models import Candle, Wax
from tests.factories import make_candle, make_colour, make_lot, make_person, make_wax

pytestmark = pytest.mark.django_db


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
