"""Counting in, adjusting, regrading and shelving, through their pages."""

import uuid
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from inventory.domain.lots import adjust_lot
from inventory.models import Lot, Movement
from tests.factories import make_candle, make_lot, make_person, make_shelf

pytestmark = pytest.mark.django_db


@pytest.fixture
def typed():
    return {
        "candle": make_candle().pk,
        "grade": "firsts",
        "pairs": "24",
        "made_on": "2026-11-20",
        "reason": "found",
        "submission": str(uuid.uuid4()),
    }


def test_count_in_makes_a_lot_once_however_often_it_is_sent(client_for, typed):
    client = client_for("packer")
    answers = [client.post(reverse("count_in"), typed) for _ in range(2)]
    lot = Lot.objects.get()
    assert {answer.url for answer in answers} == {lot.get_absolute_url()}
    assert (lot.code, lot.on_hand, lot.movements.get().person) == ("F26-1120-01", 24, client.person)


def test_count_in_of_seconds_takes_ones_own_words_for_the_fault(client_for, typed):
    typed |= {"grade": "seconds", "fault": "a bee in it", "code": "bee-1", "shelf": make_shelf().pk}
    client_for("dipper").post(reverse("count_in"), typed)
    lot = Lot.objects.get()
    assert (lot.code, lot.fault, lot.grade) == ("BEE-1", "a bee in it", "seconds")


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("candle", ""),
        ("candle", "999999"),
        ("candle", "9" * 30),
        ("grade", "thirds"),
        ("pairs", ""),
        ("pairs", "0"),
        ("pairs", "-1"),
        ("pairs", "1000000000"),
        ("pairs", "two"),
        ("made_on", ""),
        ("made_on", "yesterday"),
        ("made_on", "2999-01-01"),
        ("reason", ""),
        ("reason", "x" * 201),
        ("reason", "a\x00b"),
        ("fault", "bent"),
        ("shelf", "999999"),
        ("code", "TAKEN"),
        ("code", "x" * 21),
        ("submission", "nonsense"),
    ],
)
def test_count_in_refuses_beside_the_field_and_keeps_the_typing(client_for, typed, field, value):
    make_lot(code="TAKEN", pairs=0)
    answer = client_for("packer").post(reverse("count_in"), {**typed, field: value})
    assert answer.status_code == 422
    assert field in answer.context["form"].errors
    assert answer.context["form"]["pairs"].value() == (value if field == "pairs" else "24")
    assert Lot.objects.count() == 1


def test_count_in_needs_a_candle_and_takes_the_one_asked_for(client_for):
    client = client_for("owner")
    assert "no candle in the catalogue yet" in client.get(reverse("count_in")).content.decode()
    candle = make_candle()
    answer = client.get(reverse("count_in"), {"candle": candle.pk})
    assert str(answer.context["form"]["candle"].value()) == str(candle.pk)
    assert client.get(reverse("count_in"), {"candle": "x"}).status_code == 200


def adjusting(**fields):
    return {"kind": "damaged", "pairs": "4", "reason": "fell", "submission": str(uuid.uuid4()), **fields}


def test_adjust_books_once_however_often_it_is_sent(client_for):
    lot, client, data = make_lot(pairs=24), client_for("packer"), adjusting()
    url = reverse("adjust", args=[lot.pk])
    assert client.get(url).status_code == 200
    for _ in range(2):
        assert client.post(url, data).url == lot.get_absolute_url()
    lot.refresh_from_db()
    assert lot.on_hand == 20


@pytest.mark.parametrize(
    ("field", "fields"),
    [
        ("kind", {"kind": "sent"}),
        ("pairs", {"pairs": "0"}),
        ("pairs", {"pairs": ""}),
        ("pairs", {"pairs": "-4"}),
        ("pairs", {"pairs": "1000000000"}),
        ("pairs", {"pairs": "13"}),
        ("pairs", {"kind": "recounted", "pairs": "11"}),
        ("pairs", {"kind": "recounted", "pairs": "24"}),
        ("pairs", {"kind": "recounted", "pairs": "20", "seen": "30"}),
        ("reason", {"reason": " "}),
        ("reason", {"reason": "x" * 201}),
        ("submission", {"submission": ""}),
    ],
)
def test_adjust_refuses_beside_the_field_and_moves_nothing(client_for, field, fields):
    lot = make_lot(pairs=24, set_aside=12)
    answer = client_for("packer").post(reverse("adjust", args=[lot.pk]), adjusting(**fields))
    assert answer.status_code == 422
    assert field in answer.context["form"].errors
    assert Movement.objects.count() == 1


def test_recount_is_refused_where_pairs_moved_since_the_page_was_opened(client_for):
    lot, client = make_lot(pairs=24), client_for("packer")
    adjust_lot(lot=lot, kind="damaged", pairs=4, reason="fell", by=make_person())
    answer = client.post(reverse("adjust", args=[lot.pk]), adjusting(kind="recounted", pairs="23", seen="24"))
    text = answer.content.decode()
    assert "the book now says 20. Count again." in text
    assert 'name="seen" value="20"' in text


def test_regrade_makes_seconds_once_however_often_it_is_sent(client_for):
    lot, client = make_lot(pairs=24), client_for("dipper")
    url = reverse("regrade", args=[lot.pk])
    assert client.get(url).status_code == 200
    data = {"pairs": "5", "fault": "drip tail", "reason": "seen", "submission": str(uuid.uuid4())}
    answers = [client.post(url, data) for _ in range(2)]
    seconds = Lot.objects.get(grade="seconds")
    assert {answer.url for answer in answers} == {seconds.get_absolute_url()}
    lot.refresh_from_db()
    assert (lot.on_hand, seconds.on_hand) == (19, 5)


@pytest.mark.parametrize(
    ("field", "value"),
    [("pairs", "13"), ("pairs", "0"), ("pairs", "x"), ("fault", ""), ("fault", "x" * 41), ("reason", "")],
)
def test_regrade_refuses_beside_the_field(client_for, field, value):
    lot = make_lot(pairs=24, set_aside=12)
    data = {"pairs": "5", "fault": "bent", "reason": "seen", "submission": str(uuid.uuid4()), field: value}
    answer = client_for("packer").post(reverse("regrade", args=[lot.pk]), data)
    assert answer.status_code == 422
    assert field in answer.context["form"].errors
    assert Lot.objects.count() == 1


def test_seconds_have_no_page_to_regrade_them(client_for):
    lot = make_lot(grade="seconds", fault="bent")
    assert client_for("owner").get(reverse("regrade", args=[lot.pk])).status_code == 404


def test_lot_is_put_on_another_shelf(client_for):
    lot, shelf, client = make_lot(), make_shelf(code="B7"), client_for("packer")
    url = reverse("shelve", args=[lot.pk])
    assert client.get(url).status_code == 405
    for _ in range(2):
        assert client.post(url, {"shelf": shelf.pk}).url == lot.get_absolute_url()
    lot.refresh_from_db()
    assert lot.shelf == shelf
    assert client.post(url, {"shelf": "999999"}).status_code == 422
    client.post(url, {"shelf": ""})
    lot.refresh_from_db()
    assert lot.shelf is None


@pytest.mark.parametrize("page", ["lot", "adjust", "regrade", "shelve"])
def test_lot_pages_refuse_the_wrong_role_and_unknown_lots(client_for, page):
    lot = make_lot()
    refused = client_for("bookkeeper")
    assert refused.get(reverse(page, args=[lot.pk])).status_code == 403
    assert refused.post(reverse(page, args=[lot.pk]), adjusting()).status_code == 403
    for unknown in (999999, 10**30):
        assert client_for("owner").post(f"/lots/{unknown}/{page}/", adjusting()).status_code == 404
        assert client_for("owner").get(f"/lots/{unknown}/").status_code == 404
    assert Movement.objects.count() == 1


def test_day_of_dipping_may_be_today_but_not_tomorrow(client_for, typed):
    today = timezone.localdate()
    client = client_for("packer")
    assert client.post(reverse("count_in"), {**typed, "made_on": today}).status_code == 302
    late = {**typed, "made_on": today + timedelta(days=1), "submission": str(uuid.uuid4())}
    assert client.post(reverse("count_in"), late).status_code == 422
