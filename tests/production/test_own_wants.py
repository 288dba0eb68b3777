"""The owner's own wants: made ahead for the shelf, beside what orders want."""

from datetime import date, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils import timezone

from inventory.models import Record
from production.domain.own_wants import add_own_want, change_own_want, drop_own_want, note_of
from production.models import HungFor, Want
from tests.factories import make_candle, make_frame, make_order, make_person
from tests.production.test_promises_of_frames import wanted

pytestmark = pytest.mark.django_db
NEW = "/dip-list/own/"
DAY = timezone.localdate() + timedelta(days=30)


def sent(of, **changed) -> dict:
    return {"candle": of.pk, "pairs": "48", "wanted_by": DAY.isoformat(), "note": "Easter market", **changed}


@pytest.fixture
def owner(client_for):
    return client_for("owner")


@pytest.fixture
def want():
    return add_own_want(candle=make_candle(), pairs=48, wanted_by=DAY, note="Easter market", by=make_person())


def test_pairs_are_made_ahead(owner):
    candle = make_candle(name="Moss taper")
    response = owner.post(NEW, sent(candle), follow=True)
    html = response.content.decode()
    assert "48 pairs of Moss taper are wanted for the shelf." in html
    assert "Easter market" in html
    want = Want.objects.get()
    assert (want.pairs, want.wanted_by, want.for_whom, want.group) == (48, DAY, "the shelf: Easter market", "")
    assert Record.objects.filter(subject="candle", subject_id=candle.pk, person=owner.person).count() == 1


def test_the_same_form_sent_twice_is_one_want(owner):
    candle = make_candle()
    for _ in range(2):
        assert owner.post(NEW, sent(candle)).status_code == 302
    assert Want.objects.count() == 1
    response = owner.post(NEW, sent(candle, pairs="60"))
    assert response.status_code == 422
    assert "48 pairs of it are wanted for that day already" in response.content.decode()


def test_the_form_can_begin_with_a_candle(owner):
    candle = make_candle()
    assert f'value="{candle.pk}" selected' in owner.get(NEW, {"candle": candle.pk}).content.decode()
    assert owner.get(NEW, {"candle": "\x00"}).status_code == 200


@pytest.mark.parametrize(
    "changed",
    [
        {"pairs": ""},
        {"pairs": "0"},
        {"pairs": "-3"},
        {"pairs": "1000000000"},
        {"pairs": "two"},
        {"wanted_by": ""},
        {"wanted_by": "2020-01-01"},
        {"wanted_by": "9999-12-31"},
        {"wanted_by": "soon"},
        {"note": "x" * 61},
        {"note": "a\x00b"},
        {"candle": ""},
        {"candle": "999999"},
    ],
)
def test_bad_input_is_refused_and_kept(owner, changed):
    response = owner.post(NEW, sent(make_candle(), **changed))
    assert response.status_code == 422
    assert not Want.objects.exists()
    (name, typed), *_ = changed.items()
    assert response.context["form"][name].errors
    assert response.context["form"][name].value() == typed


def test_a_candle_gone_from_the_catalogue_is_not_made_ahead():
    with pytest.raises(ValidationError, match="no longer in the catalogue"):
        add_own_want(candle=make_candle(active=False), pairs=4, wanted_by=DAY, by=make_person())


def test_it_is_changed_and_frames_let_go(owner, want):
    frame = make_frame(want.candle, wants={want: 40})
    page = reverse("own_want", args=[want.pk])
    assert 'value="48"' in owner.get(page).content.decode()
    response = owner.post(page, {"pairs": "30", "wanted_by": DAY.isoformat(), "note": ""})
    assert response.status_code == 302
    want.refresh_from_db()
    frame.refresh_from_db()
    assert (want.pairs, note_of(want), frame.hung_for) == (30, "", 30)
    assert owner.post(page, {"pairs": "0"}).status_code == 422


def test_a_day_already_past_may_stand(want):
    past = date(2020, 1, 1)
    Want.objects.update(wanted_by=past)
    assert change_own_want(want=want, pairs=7, wanted_by=past, by=make_person()).pairs == 7


def test_it_is_dropped_once(owner, want):
    frame = make_frame(want.candle, wants={want: 40})
    drop = reverse("own_want_drop", args=[want.pk])
    for _ in range(2):
        assert "no longer wanted for the shelf" in owner.post(drop, follow=True).content.decode()
    frame.refresh_from_db()
    assert (Want.objects.count(), HungFor.objects.count(), frame.hung_for) == (0, 0, 0)


def test_an_orders_want_is_not_the_owners_to_change(owner):
    want = wanted(make_order().lines.get().candle)
    assert owner.get(reverse("own_want", args=[want.pk])).status_code == 404
    assert "change the order" in owner.post(reverse("own_want_drop", args=[want.pk]), follow=True).content.decode()
    for act in (
        lambda: drop_own_want(want=want, by=owner.person),
        lambda: change_own_want(want=want, pairs=1, wanted_by=DAY, by=owner.person),
    ):
        with pytest.raises(ValidationError, match="change the order"):
            act()


def test_what_is_gone_cannot_be_changed(want):
    Want.objects.all().delete()
    with pytest.raises(ValidationError, match="wanted no longer"):
        change_own_want(want=want, pairs=1, wanted_by=DAY, by=make_person())


def test_only_the_owner_makes_ahead(client_for, want):
    page, drop = reverse("own_want", args=[want.pk]), reverse("own_want_drop", args=[want.pk])
    for url in (NEW, page, drop):
        assert client_for("dipper", "packer", "bookkeeper").post(url).status_code == 403
    assert client_for("owner").get(drop).status_code == 405
    html = client_for("dipper").get("/dip-list/").content.decode()
    assert "Easter market" in html
    assert page not in html
