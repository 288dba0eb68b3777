from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from config.roles import ROLES
from inventory.models import Candle
from orders.domain import set_up
from orders.models import BoxKind, Series, VanDay, VatRate
from tests.factories import (
    make_box_kind,
    make_candle,
    make_carousel,
    make_colour,
    make_frame_kind,
    make_hours,
    make_person,
    make_recipe,
    make_van_days,
    make_vat,
    make_wax,
    make_workshop,
)
from tests.inventory.workshop_record import told
from tests.orders.set_up_forms import BOX

pytestmark = pytest.mark.django_db
SET_UP, NUMBERS = "/set-up/", "/set-up/numbers/"
BOXES, VAN_DAYS, RATES = (f"/set-up/{name}/" for name in ("box-kinds", "van-days", "vat-rates"))
DAY = {"weekday": "2", "note": "coast road"}
RATE = {"vat_class": "standard", "category": "S", "percent": "21", "since": "2026-04-01"}


@pytest.fixture
def owner(client_for):
    return client_for("owner")


def make_rate(**fields):
    values = {"vat_class": "reduced", "category": "S", "percent": Decimal("6"), "since": date(2026, 5, 1)}
    return VatRate.objects.create(**{**values, **fields})


def make_day(**fields):
    return VanDay.objects.create(**{"weekday": 4, **fields})


LISTS = {"box": (BOXES, BOX, make_box_kind), "day": (VAN_DAYS, DAY, make_day), "rate": (RATES, RATE, make_rate)}


def test_the_first_line_says_what_is_missing_until_nothing_is(owner):
    def papers():
        return owner.get(SET_UP).context["headline"].partition(" printed.")[0]

    ending = "missing before the first paper can be"
    assert papers() == f"The workshop's name, bank details, a wax, a colour, a box kind and a van day are {ending}"
    make_wax()
    make_colour()
    make_workshop(bank_name="", account_name="", sort_code="", account_number="")
    make_van_days(1)
    assert papers() == f"Bank details and a box kind are {ending}"
    make_box_kind(active=False)
    make_workshop()
    assert papers() == f"A box kind is {ending}"
    make_box_kind()
    assert papers() == "Papers can be"
    VatRate.objects.filter(vat_class="standard").update(since=timezone.localdate() + timedelta(days=1))
    assert papers() == f"A standard VAT rate is {ending}"


def test_the_first_line_says_what_the_floor_still_wants(owner):
    def floor():
        return owner.get(SET_UP).context["headline"].partition(" printed. ")[2]

    ending = "missing before the floor can dip."
    wants = "What a wax may be heated to, a vat, a carousel, a kind of frame"
    assert floor() == f"{wants} and the working hours are {ending}"
    candle = make_candle()
    make_vat(), make_carousel(), make_frame_kind()
    assert floor() == f"A recipe for 1 candle and the working hours are {ending}"
    make_hours()
    assert floor() == f"A recipe for 1 candle is {ending}"
    make_candle()
    assert floor() == f"Recipes for 2 candles are {ending}"
    make_recipe(candle), make_recipe(Candle.objects.get(recipe=None))
    make_workshop(), make_box_kind(), make_van_days(1)
    assert owner.get(SET_UP).context["headline"] == "All set: papers can be printed, and the floor can dip."


def test_bank_details_alone_are_missing(owner):
    make_wax(), make_colour(), make_box_kind(), make_van_days(1)
    make_workshop(bank_name="", account_name="", sort_code="", account_number="")
    assert owner.get(SET_UP).context["headline"].startswith("Bank details are missing")


def test_the_index_leads_to_each_part_and_tells_who_changed_what(owner):
    make_workshop()
    owner.post(BOXES, BOX)
    page = owner.get(SET_UP).content.decode()
    for part in ("workshop", "waxes", "colours", "shelves", "box-kinds", "van-days", "vat-rates", "numbers", "people"):
        assert f'href="/set-up/{part}/"' in page
    for part in ("wax-heat", "carousels", "frame-kinds", "working-hours", "days-off", "floor"):
        assert f'href="/set-up/{part}/"' in page
    assert 'href="/vats/"' in page
    assert 'href="/recipes/"' in page
    assert "Box kind Long box added" in page
    assert owner.person.full_name in page


def pages() -> list[str]:
    rows = {address: make() for address, _, make in LISTS.values()}
    series = Series.objects.first()
    return [SET_UP, NUMBERS, f"{NUMBERS}{series.pk}/", *rows, *(f"{at}{row.pk}/" for at, row in rows.items())]


@pytest.mark.parametrize("role", ROLES)
def test_only_owners_come_in(client_for, role):
    client = client_for(role)
    status = 200 if role == "owner" else 403
    for page in pages():
        assert client.get(page).status_code == status, page


def test_nobody_else_changes_anything(client_for):
    rows = [make() for _, _, make in LISTS.values()]
    before = [list(model.objects.values()) for model in (BoxKind, VanDay, VatRate, Series)]
    for role in ROLES[1:]:
        client = client_for(role)
        for (address, data, _), row in zip(LISTS.values(), rows, strict=True):
            for page in (address, f"{address}{row.pk}/", f"{address}{row.pk}/delete/"):
                assert client.post(page, data).status_code == 403
        assert (
            client.post(f"{NUMBERS}{Series.objects.first().pk}/", {"number": "9000", "sure": "on"}).status_code == 403
        )
    assert [list(model.objects.values()) for model in (BoxKind, VanDay, VatRate, Series)] == before


def test_strangers_sign_in_first(client):
    for page in pages():
        assert client.get(page).url == f"/sign-in/?next={page}"


@pytest.mark.parametrize("name", LISTS)
def test_a_row_is_added_changed_and_deleted(owner, name):
    address, data, _ = LISTS[name]
    model = {"box": BoxKind, "day": VanDay, "rate": VatRate}[name]
    known = set(model.objects.values_list("pk", flat=True))
    assert owner.post(address, data).url == address
    row = model.objects.exclude(pk__in=known).get()
    form = owner.get(f"{address}{row.pk}/").context["form"]
    change = {"box": {"tare_g": "310", "standard": "on"}, "day": {"note": "town"}, "rate": {"percent": "22"}}[name]
    assert owner.post(f"{address}{row.pk}/", {**data, **change, "seen": form["seen"].value()}).url == address
    assert owner.get(f"{address}{row.pk}/delete/").status_code == 405
    assert owner.post(f"{address}{row.pk}/delete/").url == address
    assert not model.objects.filter(pk=row.pk).exists()
    assert owner.post(f"{address}{row.pk}/delete/").status_code == 404
    assert [line.split()[-1] for line in (told()[0], told()[-1])] == ["added", "deleted"]
    assert "became" in told()[1]


@pytest.mark.parametrize("name", ["box", "day"])
def test_sent_twice_makes_one_row(owner, name):
    address, data, _ = LISTS[name]
    owner.post(address, data)
    assert owner.post(address, data).status_code == 422
    assert len(told()) == 1


def test_a_rate_sent_twice_makes_one_row(owner):
    before = VatRate.objects.count()
    owner.post(RATES, RATE)
    assert owner.post(RATES, RATE).status_code == 422
    assert VatRate.objects.count() == before + 1


@pytest.mark.parametrize(
    ("name", "field", "value", "where"),
    [
        ("box", "name", "", "name"),
        ("box", "name", "x" * 41, "name"),
        ("box", "name", "a\0", "name"),
        ("box", "length_mm", "", "length_mm"),
        ("box", "length_mm", "0", "length_mm"),
        ("box", "width_mm", "-5", "width_mm"),
        ("box", "height_mm", "2001", "height_mm"),
        ("box", "height_mm", "1000000000", "height_mm"),
        ("box", "length_mm", "long", "length_mm"),
        ("box", "tare_g", "-1", "tare_g"),
        ("box", "tare_g", "15000", "tare_g"),
        ("box", "tare_g", "1000000000000", "tare_g"),
        ("box", "limit_g", "499", "limit_g"),
        ("box", "limit_g", "25001", "limit_g"),
        ("day", "weekday", "", "weekday"),
        ("day", "weekday", "7", "weekday"),
        ("day", "weekday", "-1", "weekday"),
        ("day", "weekday", "Sunday", "weekday"),
        ("day", "note", "x" * 61, "note"),
        ("rate", "vat_class", "luxury", "vat_class"),
        ("rate", "category", "G", "category"),
        ("rate", "percent", "", "percent"),
        ("rate", "percent", "-1", "percent"),
        ("rate", "percent", "0", "percent"),
        ("rate", "percent", "100", "percent"),
        ("rate", "percent", "20.001", "percent"),
        ("rate", "percent", "1e9", "percent"),
        ("rate", "since", "", "since"),
        ("rate", "since", "1970-01-01", "since"),
        ("rate", "since", "9999-12-31", "since"),
        ("rate", "since", "tomorrow", "since"),
    ],
)
def test_bad_input_is_refused_beside_what_was_typed(owner, name, field, value, where):
    address, data, _ = LISTS[name]
    response = owner.post(address, {**data, field: value})
    assert response.status_code == 422
    assert list(response.context["form"].errors) == [where]
    assert response.context["form"][field].value() == value
    assert told() == []


@pytest.mark.parametrize("name", LISTS)
def test_the_second_to_save_is_told_and_sees_both(owner, name):
    address, data, make = LISTS[name]
    row = make()
    stale = {**data, "seen": owner.get(f"{address}{row.pk}/").context["form"]["seen"].value()}
    field, theirs = {"box": ("name", "Bea's box"), "day": ("note", "Bea's way"), "rate": ("percent", "7")}[name]
    type(row).objects.filter(pk=row.pk).update(**{field: theirs})
    second = owner.post(f"{address}{row.pk}/", stale)
    assert second.status_code == 422
    assert "Somebody changed this while you were typing" in second.content.decode()
    assert f"<dd>{theirs.replace(chr(39), '&#x27;')}</dd>" in second.content.decode()
    assert second.context["form"][field].value() == data[field]
    assert told() == []


@pytest.mark.parametrize("name", LISTS)
def test_a_list_asks_the_same_of_one_row_and_of_many(owner, name, django_assert_num_queries):
    address, _, make = LISTS[name]
    make()
    owner.get(address)
    queries = 5 if name == "box" else 3  # two lists of materials to choose from
    with django_assert_num_queries(queries):
        owner.get(address)
    for n in range(30):
        if name == "box":
            make()
        elif name == "rate":
            make(since=date(2027, 1, 1) + timedelta(days=n))
        elif n < 7 and n != 4:
            make(weekday=n)
    with django_assert_num_queries(queries):
        assert owner.get(address).status_code == 200


def test_constraints_hold_without_the_form():
    make_box_kind(standard=True)
    with pytest.raises(IntegrityError), transaction.atomic():
        make_box_kind(standard=True)
    make_day(weekday=1)
    with pytest.raises(IntegrityError), transaction.atomic():
        make_day(weekday=1)
    with pytest.raises(IntegrityError), transaction.atomic():
        make_day(weekday=7)
    with pytest.raises(ValidationError, match="Categories Z and E are 0 %; category S"):
        set_up.add_vat_rate(
            row=VatRate(vat_class="zero", category="Z", percent=Decimal(5), since=date(2026, 6, 1)), by=make_person()
        )
    for wrong in ({"category": "Z", "percent": 5}, {"category": "S", "percent": 0}, {"category": "S", "percent": -1}):
        with pytest.raises(IntegrityError), transaction.atomic():
            make_rate(**wrong)
    with pytest.raises(IntegrityError), transaction.atomic():
        make_rate(), make_rate()
