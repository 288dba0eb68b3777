"""The short lists of the floor's set-up: carousels, kinds of frame, hours, days off, wax heat, the floor's figures."""

from datetime import date, time
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from config.roles import ROLES
from inventory.models import Record
from production.domain.hours import add_days_off
from production.models import DayOff, FloorFigures, FrameKind, WaxHeat, WorkingDay
from tests.factories import (
    make_candle,
    make_carousel,
    make_frame,
    make_frame_kind,
    make_heat,
    make_hours,
    make_person,
    make_run,
    make_vat,
    make_wax,
)
from tests.production.setup_pages import CAROUSEL, CAROUSELS, DAY, DAYS, FIGURES, HEATS, KINDS, LISTS, asked

pytestmark = pytest.mark.django_db
FIGURES_PAGE = "/set-up/floor/"


@pytest.fixture
def owner(client_for):
    return client_for("owner")


def told() -> list[str]:
    return [row.what for row in Record.objects.filter(subject="workshop", subject_id=1).order_by("pk")]


@pytest.mark.parametrize("name", LISTS)
def test_a_row_is_added_changed_and_deleted(owner, name):
    address, data, model, _, (field, value) = LISTS[name]
    data = data()
    assert owner.post(address, data).url == address
    row = model.objects.get()
    page = owner.get(f"{address}{row.pk}/")
    changed = {**data, field: value, "seen": page.context["form"]["seen"].value()}
    assert owner.post(f"{address}{row.pk}/", changed).url == address
    row.refresh_from_db()
    assert value in str(getattr(row, field))
    assert owner.post(f"{address}{row.pk}/delete/").url == address
    assert not model.objects.exists()
    assert len(told()) == 3


@pytest.mark.parametrize("name", LISTS)
def test_the_second_to_save_is_told_and_sees_both(owner, name):
    address, data, _, make, (field, value) = LISTS[name]
    row = make()
    page = owner.get(f"{address}{row.pk}/").context["form"]
    sent = {**data(), **{key: page[key].value() for key in page.fields if page[key].value() not in (None, "")}}
    sent = {key: said.strftime("%H:%M") if isinstance(said, time) else said for key, said in sent.items()}
    assert owner.post(f"{address}{row.pk}/", {**sent, field: value}).status_code == 302
    other = {"carousel": "9", "kind": "1800", "hours": "18:00", "day": "Feast", "heat": "186", "change": "99"}[name]
    again = owner.post(f"{address}{row.pk}/", {**sent, field: other})
    assert again.status_code == 422
    assert "Somebody changed this while you were typing" in again.content.decode()
    row.refresh_from_db()
    assert value in str(getattr(row, field))


@pytest.mark.parametrize("role", ROLES)
def test_only_owners_come_in(client_for, role):
    client, status = client_for(role), 200 if role == "owner" else 403
    for address, data, model, make, _ in LISTS.values():
        row = make()
        for page in (address, f"{address}{row.pk}/"):
            assert client.get(page).status_code == status
        if role != "owner":
            for page in (address, f"{address}{row.pk}/", f"{address}{row.pk}/delete/"):
                assert client.post(page, data()).status_code == 403
            assert list(model.objects.all()) == [row]
    assert client.get(FIGURES_PAGE).status_code == status
    assert client.get(f"{KINDS}{FrameKind.objects.get().pk}/pairs/").status_code == (
        200 if role in ("owner", "dipper") else 403
    )


@pytest.mark.parametrize("name", LISTS)
def test_unknown_rows_deleting_by_get_and_sending_twice(owner, name):
    address, data, model, make, _ = LISTS[name]
    assert owner.get(f"{address}999999/").status_code == 404
    assert owner.post(f"{address}999999/delete/").status_code == 404
    assert owner.get(f"{address}{make().pk}/delete/").status_code == 405
    data = data()
    owner.post(address, data)
    assert owner.post(address, data).status_code == 422
    assert model.objects.count() == 2


@pytest.mark.parametrize(
    ("name", "field", "value"),
    [
        ("carousel", "name", ""),
        ("carousel", "name", "x" * 41),
        ("carousel", "name", "A\0"),
        ("carousel", "positions", "0"),
        ("carousel", "positions", "13"),
        ("carousel", "positions", "1000000000"),
        ("kind", "bars", "0"),
        ("kind", "bars", "-1"),
        ("kind", "bars", "21"),
        ("kind", "usable_mm", "49"),
        ("kind", "usable_mm", "3001"),
        ("kind", "pitch", "1.9"),
        ("kind", "pitch", "NaN"),
        ("kind", "iron_g", "1000000000"),
        ("kind", "over_mm", "501"),
        ("hours", "weekday", "7"),
        ("hours", "starts", ""),
        ("hours", "ends", "25:00"),
        ("hours", "ends", "08:00"),
        ("hours", "ends", "07:00"),
        ("day", "day", ""),
        ("day", "day", "25.12.26"),
        ("day", "day", "0026-12-25"),
        ("day", "note", "x" * 61),
        ("day", "last", "2026-12-24"),
        ("day", "last", "2027-12-25"),
        ("change", "from_colour", "999"),
        ("change", "to_wax", ""),
        ("change", "minutes", "-1"),
        ("change", "minutes", "1441"),
        ("change", "minutes", "1000000000"),
        ("heat", "in_hand_kg", "-1"),
        ("heat", "in_hand_kg", "1000000000"),
        ("heat", "wax", "999"),
        ("heat", "congeals_c", "0"),
        ("heat", "congeals_c", "-5"),
        ("heat", "congeals_c", "1000000000"),
        ("heat", "flash_c", "57"),
        ("heat", "flash_c", "hot"),
        ("heat", "discolours_c", "39"),
    ],
)
def test_bad_input_is_refused_beside_what_was_typed(owner, name, field, value):
    address, data, model, _, _ = LISTS[name]
    response = owner.post(address, {**data(), field: value})
    assert response.status_code == 422
    form = response.context["form"]
    assert list(form.errors) == [field]
    assert form[field].value() == value
    assert not model.objects.exists()


@pytest.mark.parametrize("name", LISTS)
def test_a_list_asks_the_same_of_one_row_and_of_thirty(owner, name, django_assert_num_queries):
    address, _, model, make, _ = LISTS[name]
    make()
    owner.get(address)
    queries = asked(owner, address)
    if name == "hours":
        make_hours(range(7))
    elif name == "day":
        add_days_off(first=date(2027, 7, 1), last=date(2027, 7, 30), note="", by=make_person())
    else:
        for _ in range(29):
            make()
    rows = model.objects.count()
    with django_assert_num_queries(queries):
        assert len(owner.get(address).context["table"].rows) == rows


def test_a_whole_holiday_is_written_down_at_once(owner):
    DayOff.objects.create(day=date(2026, 12, 25), note="Christmas")
    owner.post(DAYS, {"day": "2026-12-24", "last": "2027-01-01", "note": "Winter"})
    assert DayOff.objects.count() == 9
    assert DayOff.objects.get(day=date(2026, 12, 25)).note == "Christmas"
    assert told() == ["8 days off: 24 December 2026 to 1 January 2027, Winter"]
    assert owner.post(DAYS, {"day": "2026-12-24", "last": "2027-01-01"}).status_code == 422
    assert owner.post(DAYS, DAY).status_code == 422


def test_what_carries_frames_or_turns_stays(owner):
    frame = make_frame(state="hanging", position=5)
    carousel = frame.carousel
    address = f"{CAROUSELS}{carousel.pk}/"
    sent = {**CAROUSEL, "seen": owner.get(address).context["form"]["seen"].value()}
    for changes, field in (({"positions": "4"}, "positions"), ({"active": ""}, "active")):
        response = owner.post(address, {**sent, **changes})
        assert list(response.context["form"].errors) == [field]
        assert frame.code in response.content.decode()
    assert "it is used by 1 frame" in owner.post(f"{address}delete/").content.decode()
    assert "it is used by 1 frame" in owner.post(f"{KINDS}{frame.kind_id}/delete/").content.decode()


def test_a_carousel_with_a_run_on_stays_in_use(owner):
    run = make_run()
    address = f"{CAROUSELS}{run.carousel_id}/"
    seen = owner.get(address).context["form"]["seen"].value()
    response = owner.post(address, {**CAROUSEL, "active": "", "seen": seen})
    assert f"Run {run} is on" in response.context["form"].errors["active"][0]


def test_limits_hold_while_a_vat_holds_the_wax(owner):
    vat = make_vat(set_c=Decimal("70"))
    address = f"{HEATS}{WaxHeat.objects.get(wax=vat.wax).pk}/"
    sent = {"wax": vat.wax_id, "congeals_c": "58", "flash_c": "190", "discolours_c": ""}
    sent["seen"] = owner.get(address).context["form"]["seen"].value()
    for field, value in (("congeals_c", "71"), ("flash_c", "155"), ("wax", make_wax().pk)):
        response = owner.post(address, {**sent, field: value})
        assert list(response.context["form"].errors) == [field]
    assert f"{vat} holds it" in owner.post(f"{address}delete/").content.decode()
    assert WaxHeat.objects.get().congeals_c == 58


def test_a_kind_of_frame_says_the_pairs_of_each_candle_and_what_it_weighs(owner, django_assert_num_queries):
    kind = make_frame_kind(bars=4, usable_mm=800, iron_g=1500)
    make_candle(base_mm=Decimal("22"))
    address = f"{KINDS}{kind.pk}/pairs/"
    owner.get(address)
    queries = asked(owner, address)
    make_candle(base_mm=Decimal("150"), tip_mm=Decimal("150"), length_mm=1000)
    wide = make_candle(base_mm=Decimal("30"), tip_mm=Decimal("30"), length_mm=Decimal("1000"))
    page = owner.get(address).content.decode()
    assert "takes 48 pairs of a 22 mm candle" in page
    assert "lift it by two" in page
    # 32 pairs of 1000 x 30 mm at 0.9 are 40.7 kg of wax on 1.5 kg of iron.
    assert "42.2" in page
    assert wide.name in page
    with django_assert_num_queries(queries):
        owner.get(address)


def test_the_floors_figures_are_changed_once_and_on_record(owner):
    sent = {**FIGURES, "hands": "3"}
    assert owner.post(FIGURES_PAGE, sent).url == "/set-up/"
    row = FloorFigures.objects.get()
    assert (row.confidence, row.faults_by_person, row.version) == (Decimal("0.95"), False, 2)
    assert row.hands == 3
    changes = "how sure the firsts must be became 0.95, before 0.9; hands that thread frames became 3, before 2"
    assert told() == [f"Floor: {changes}"]
    stale = owner.post(FIGURES_PAGE, {**sent, "confidence": "0.80"})
    assert stale.status_code == 422
    assert "<dd>0.95</dd>" in stale.content.decode()


def test_figures_nobody_ever_wrote_may_be_stale_too(owner):
    assert owner.post(FIGURES_PAGE, {**FIGURES, "version": "7"}).status_code == 422


@pytest.mark.parametrize("value", ["", "0", "0.49", "1", "-1", "90", "NaN", "sure", "0.955"])
def test_no_confidence_outside_its_bounds(owner, value):
    response = owner.post(FIGURES_PAGE, {**FIGURES, "confidence": value})
    assert list(response.context["form"].errors) == ["confidence"]
    assert not FloorFigures.objects.filter(version=2).exists()


@pytest.mark.parametrize(
    "make",
    [
        lambda: make_carousel(positions=0),
        lambda: make_carousel(positions=13),
        lambda: make_frame_kind(bars=0),
        lambda: make_frame_kind(usable_mm=49),
        lambda: make_frame_kind(pitch=Decimal("1.9")),
        lambda: WorkingDay.objects.create(weekday=7, starts=time(8), ends=time(9)),
        lambda: WorkingDay.objects.create(weekday=0, starts=time(8), ends=time(8)),
        lambda: [WorkingDay.objects.create(weekday=0, starts=time(8), ends=time(9)) for _ in range(2)],
        lambda: [DayOff.objects.create(day=date(2026, 12, 25)) for _ in range(2)],
        lambda: [make_carousel(name="One") for _ in range(2)],
        lambda: [make_frame_kind(name="One") for _ in range(2)],
        lambda: [WaxHeat.objects.create(wax=make_heat(make_wax()).wax, congeals_c=58, flash_c=190)],
    ],
)
def test_the_database_refuses_bare_wrong_rows(make):
    with pytest.raises(IntegrityError), transaction.atomic():
        make()


def test_days_off_are_refused_where_none_is_new():
    by = make_person()
    assert add_days_off(first=date(2026, 12, 24), last=None, note="", by=by) == 1
    with pytest.raises(ValidationError) as refused:
        add_days_off(first=date(2026, 12, 24), last=None, note="", by=by)
    assert "is off already" in refused.value.error_dict["day"][0].messages[0]
