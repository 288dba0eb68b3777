"""Taking the order, two hands on one draft, putting it away, and who may do what."""

import pytest
from django.urls import reverse

from orders.domain.ordering import Row, confirm_order, save_draft
from orders.models import Order
from orders.models.order import CANCELLED, CONFIRMED, DRAFT
from tests.factories import make_candle, make_lot, make_order, make_person
from tests.orders.entry_forms import form_of, kept, queries_of, send, text_of

pytestmark = pytest.mark.django_db


def test_confirming_saves_what_is_typed_and_takes_the_order(packer, draft, ivory):
    response = send(packer, "order_confirm", draft, [("iv250", "24")], reference="XM-7", notes="ring first")
    draft.refresh_from_db()
    assert response.url == reverse("order", args=[draft.number])
    assert (draft.status, draft.reference, draft.notes, kept(draft)) == (
        CONFIRMED,
        "XM-7",
        "ring first",
        [("IV250", 24)],
    )


def test_the_same_form_confirmed_twice_is_one_order(packer, draft, ivory):
    data = form_of(draft, [("IV250", "24")])
    url = reverse("order_confirm", args=[draft.number])
    first, second = packer.post(url, data), packer.post(url, data)
    assert first.url == second.url
    assert Order.objects.count() == 1
    assert Order.objects.get().version == 3


def test_a_page_from_before_the_confirmation_is_told_and_keeps_its_rows(packer, draft, ivory):
    data = form_of(draft, [("IV250", "24")])
    confirm_order(
        order=save_draft(order=draft, version=1, header={}, rows=[Row(ivory, 6)], by=packer.person),
        version=2,
        by=packer.person,
    )
    for name in ("order_confirm", "order_save"):
        response = packer.post(reverse(name, args=[draft.number]), data)
        page = text_of(response)
        assert response.status_code == 422
        assert "no longer a draft" in page
        assert 'name="pairs" id="r0-pairs" class="pairs num" value="24"' in page
    assert kept(draft) == [("IV250", 6)]


def test_a_taken_order_has_no_entry_page_any_more(packer, ivory):
    order = make_order(lines=[(ivory, 3)])
    assert packer.get(reverse("order_entry", args=[order.number])).url == reverse("order", args=[order.number])
    assert packer.get(reverse("order_discard", args=[order.number])).url == reverse("order", args=[order.number])


def test_a_refused_confirmation_keeps_the_draft_and_says_all(packer, draft, ivory):
    draft.shop.reference_required = True
    draft.shop.save()
    response = send(packer, "order_confirm", draft, [("IV250", "24"), ("purple", "1")], ship_by="2020-01-01")
    page = text_of(response)
    assert response.status_code == 422
    assert "needs its own reference" in page
    assert "1 January 2020 is past" in page
    draft.refresh_from_db()
    assert (draft.status, kept(draft)) == (DRAFT, [("IV250", 24)])


def test_rows_not_understood_stop_the_confirmation(packer, draft, ivory):
    response = send(packer, "order_confirm", draft, [("IV250", "24"), ("purple", "1")])
    assert response.status_code == 422
    assert "One row is not understood yet" in text_of(response)


# --- two hands


@pytest.fixture
def crossed(packer, draft, ivory, red):
    """A form made before Bob saved the same draft."""
    data = form_of(draft, [("IV250", "24"), ("RD250", "6")], reference="mine")
    bob = make_person("packer", full_name="Bob Tallow")
    rows = [Row(ivory, 24), Row(red, 9), Row(make_candle(code="NV250", name="Night blue taper"), 5)]
    save_draft(order=draft, version=1, header={"reference": "his"}, rows=rows, by=bob)
    return data


@pytest.mark.parametrize("live", [True, False])
def test_the_second_hand_is_told_and_sees_both(packer, draft, crossed, live):
    headers = {"X-Draft": "1"} if live else {}
    response = packer.post(reverse("order_save", args=[draft.number]), crossed, headers=headers)
    page = text_of(response)
    assert response.status_code == 422
    assert "Bob Tallow changed this draft while you were typing" in page
    assert "his" in page
    assert 'value="mine"' in page
    assert 'name="version" id="version" value="1"' in page
    assert kept(draft) == [("IV250", 24), ("RD250", 9), ("NV250", 5)]


def test_mine_is_kept_instead_only_knowingly(packer, draft, crossed):
    assert packer.post(reverse("order_save", args=[draft.number]), crossed).status_code == 422
    packer.post(reverse("order_save", args=[draft.number]), {**crossed, "over": 2})
    assert kept(draft) == [("IV250", 24), ("RD250", 6)]


def test_both_hands_are_put_together_and_what_differs_is_asked(packer, draft, crossed):
    packer.post(reverse("order_save", args=[draft.number]), {**crossed, "merge": 2})
    draft.refresh_from_db()
    assert kept(draft) == [("IV250", 24), ("RD250", 6), ("NV250", 5)]
    assert [row["line"] for row in draft.unread] == ["RD250 9 (theirs)"]


# --- putting away


def test_a_draft_is_put_away_after_a_question(packer, draft):
    url = reverse("order_discard", args=[draft.number])
    assert b"away?" in packer.get(url).content
    assert packer.post(url, {"version": 9}).status_code == 422
    assert packer.post(url, {"version": 1}).url == reverse("order_new")
    assert packer.post(url, {"version": 1}).url == reverse("order_new")
    draft.refresh_from_db()
    assert draft.status == CANCELLED


# --- the ladder

POSTED = ["order_save", "order_paste", "order_fill", "order_confirm"]


@pytest.mark.parametrize("name", POSTED)
def test_an_act_refuses_get(packer, draft, name):
    assert packer.get(reverse(name, args=[draft.number])).status_code == 405


@pytest.mark.parametrize("name", [*POSTED, "order_entry", "order_discard"])
def test_an_act_refuses_the_wrong_role_and_an_unknown_order(packer, client_for, draft, name):
    method = "post" if name in POSTED else "get"
    assert getattr(client_for("dipper"), method)(reverse(name, args=[draft.number])).status_code == 403
    assert getattr(packer, method)(reverse(name, args=[999999])).status_code == 404


@pytest.mark.parametrize("name", ["order_new", "shop_find"])
def test_the_dipper_takes_no_orders(client_for, name):
    assert client_for("dipper").get(reverse(name)).status_code == 403


def test_a_draft_of_forty_rows_asks_no_more_than_one_of_two(packer, draft, django_assert_max_num_queries):
    candles = [make_candle() for _ in range(40)]
    for candle in candles:
        make_lot(candle, 10)
    send(packer, "order_save", draft, [(candle.code, "5") for candle in candles[:2]])
    two = queries_of(packer, draft.get_absolute_url())
    send(packer, "order_save", draft, [(candle.code, "5") for candle in candles])
    with django_assert_max_num_queries(two):
        packer.get(draft.get_absolute_url())
