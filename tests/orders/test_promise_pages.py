"""Releasing and taking over by hand, and who holds a lot."""

import pytest
from django.urls import reverse

from orders.domain.releasing import mark_packed, release_order
from orders.domain.setting_aside import set_aside_order
from orders.models import Order, SetAside
from tests.factories import make_candle, make_lot, make_order, make_shop
from tests.orders.order_pages import ABSURD, now, page, text
from tests.recount import recount

pytestmark = pytest.mark.django_db


def test_pairs_of_a_lot_are_released_once(packer, order):
    url, sent = page("release", order), {"pairs": 12, "reason": "box dropped", "version": now(order).version}
    assert packer.post(url, sent).url == page("order", order)
    assert order.lines.get().why == f"12 released by {packer.person}: box dropped"
    again = packer.post(url, sent)
    assert again.status_code == 422
    assert "Somebody changed this" in text(again)
    assert SetAside.objects.get().pairs == 24
    recount()


@pytest.mark.parametrize("pairs", ABSURD)
def test_absurd_pairs_are_not_released(packer, order, pairs):
    response = packer.post(page("release", order), {"pairs": pairs, "reason": "why not", "version": order.version})
    assert response.status_code == 422
    assert "why not" in text(response)
    assert response.context["form"]["pairs"].errors
    assert SetAside.objects.get().pairs == 36


def test_packed_pairs_stay(packer, order):
    mark_packed([(SetAside.objects.get(), 30)])
    response = packer.post(page("release", order), {"pairs": 10, "version": order.version})
    assert response.status_code == 422
    assert "Between 1 and 6 pairs of R2417 can go (30 are packed)." in text(response)


def test_a_promise_that_is_gone_leads_back_to_the_order(packer, order):
    url = page("release", order)
    release_order(order=order, by=packer.person)
    for response in (packer.get(url, follow=True), packer.post(url, {"pairs": 1, "version": 1}, follow=True)):
        assert "no longer set aside there" in text(response)


def test_a_whole_order_is_released(packer, order):
    url, sent = page("release_order", order), {"version": now(order).version}
    assert "36 pairs are free again." in text(packer.post(url, sent, follow=True))
    assert packer.post(url, sent).status_code == 422
    assert "Nothing was set aside" in text(packer.post(url, {"version": now(order).version}, follow=True))
    assert not SetAside.objects.exists()
    recount()


@pytest.mark.parametrize("version", ["", "0", "x", 2**31, 77])
def test_without_a_right_version_nothing_is_released(packer, order, version):
    assert packer.post(page("release_order", order), {"version": version}).status_code == 422
    assert SetAside.objects.get().pairs == 36


@pytest.fixture
def taker(order):
    return make_order(lines=[(order.lines.get().candle, 24)], shop=make_shop(name="Hob Lane Deli"))


def from_url(taker, promise) -> str:
    return reverse("take_over_from", args=[taker.lines.get().pk, promise.pk])


def test_who_could_give_is_listed(packer, order, taker):
    url = page("take_over", taker)
    assert url in text(packer.get(page("order", taker)))
    html = text(packer.get(url))
    assert "24 pairs of" in html
    assert "Ossel Gifts" in html
    assert from_url(taker, SetAside.objects.get()) in html


def test_nothing_is_taken_before_it_is_confirmed(packer, order, taker):
    url = from_url(taker, SetAside.objects.get())
    html = text(packer.get(url))
    assert f"Take pairs of R2417 away from order {order.number}, Ossel Gifts" in html
    assert SetAside.objects.get().pairs == 36
    sent = {"pairs": 20, "version": now(order).version}
    assert packer.post(url, sent).url == page("order", taker)
    assert (order.lines.get().set_aside, taker.lines.get().set_aside) == (16, 20)
    assert packer.post(url, sent).status_code == 422
    assert f"taken over from order {order.number}" in text(packer.get(page("order", taker)))
    assert f"handed over to order {taker.number}" in text(packer.get(page("order", order)))
    recount()


@pytest.mark.parametrize("pairs", [*ABSURD, "25", "37"])
def test_absurd_pairs_are_not_taken(packer, order, taker, pairs):
    url = from_url(taker, SetAside.objects.get())
    assert packer.post(url, {"pairs": pairs, "version": order.version}).status_code == 422
    assert taker.lines.get().set_aside == 0


def test_taking_from_who_takes_complete_only_is_said(packer, order, taker):
    Order.objects.filter(pk=order.pk).update(complete_only=True)
    assert "It takes complete deliveries only" in text(packer.get(from_url(taker, SetAside.objects.get())))


def test_taking_over_is_for_packers(client_for, order, taker):
    url = from_url(taker, SetAside.objects.get())
    for role in ("dipper", "bookkeeper"):
        assert client_for(role).get(url).status_code == client_for(role).post(url).status_code == 403


def test_what_is_gone_cannot_be_taken(packer, order, taker):
    url = from_url(taker, SetAside.objects.get())
    release_order(order=order, by=packer.person)
    assert packer.get(url).url == page("take_over", taker)
    html = text(packer.get(page("take_over", taker)))
    assert "No other order holds pairs" in html


def test_who_holds_a_lot(client_for, order):
    promise = SetAside.objects.get()
    url, client = reverse("lot_holders", args=[promise.lot_id]), client_for("bookkeeper")
    html = text(client.get(url))
    assert "36 of the 36 pairs of R2417 are set aside for 1 order." in html
    assert "Ossel Gifts" in html
    assert client_for("dipper").get(url).status_code == 403
    assert client.post(url).status_code == 405
    assert client.get(reverse("lot_holders", args=[10**20])).status_code == 404


def test_many_holders_ask_no_more_than_one(packer, django_assert_num_queries):
    lot = make_lot(make_candle(), 100)
    for more in (1, 29):
        for _ in range(more):
            set_aside_order(order=make_order(lines=[(lot.candle, 2)]), by=packer.person)
        with django_assert_num_queries(6):
            packer.get(reverse("lot_holders", args=[lot.pk]))
