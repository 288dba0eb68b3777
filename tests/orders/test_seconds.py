import uuid
from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils import timezone

from orders.domain.ordering import Row, confirm_order
from orders.domain.seconds import sell_seconds
from orders.domain.setting_aside import set_aside_order
from orders.models import Order
from production.models import Want
from tests.factories import make_candle, make_lot, make_person, make_shop, make_workshop

pytestmark = pytest.mark.django_db


@pytest.fixture
def client(client_for):
    return client_for("packer")


@pytest.fixture
def ivory():
    make_workshop(seconds_share=Decimal("0.50"))
    candle = make_candle(code="IV250", name="Ivory taper 250 x 22", trade_price=Decimal("2.25"))
    made = timezone.localdate() - timedelta(days=40)
    make_lot(candle, 9, grade="seconds", fault="bent tip", code="S100", made_on=made)
    make_lot(candle, 100, code="F100")
    return candle


def form_of(shop=None, **pairs) -> dict:
    return {"shop": shop.pk if shop else "", "submission": uuid.uuid4(), **pairs}


def text_of(response) -> str:
    return " ".join(response.content.decode().split())


def test_the_shelf_shows_fault_age_pairs_and_how_the_price_came(client, ivory):
    page = text_of(client.get(reverse("seconds_shelf")))
    assert "9 pairs of seconds are free in 1 lot, worth 10.17." in page
    assert "9 bent tip, <small>40 days old</small>" in page
    assert "1.13<br><small>seconds, 50 % of 2.25</small>" in page
    assert "F100" not in page


def test_set_aside_seconds_are_not_on_the_shelf(client, ivory):
    ivory.lots.filter(grade="seconds").update(set_aside=9)
    assert "The seconds shelf is empty" in text_of(client.get(reverse("seconds_shelf")))


def test_selling_begins_a_draft_of_seconds_that_only_seconds_fill(client, ivory):
    response = client.post(
        reverse("seconds_sell"), form_of(make_shop(name="Salt and Ember"), **{f"pairs-{ivory.pk}": "6"})
    )
    order = Order.objects.get()
    assert response.url == reverse("order_entry", args=[order.number])
    page = text_of(client.get(response.url))
    assert "Seconds order for Salt and Ember, Orrin Bay: 6 pairs, all on the seconds shelf." in page
    assert order.lines.get().price == Decimal("1.13")
    confirm_order(order=order, version=order.version, by=client.person)
    set_aside_order(order=order, by=client.person)
    assert [promise.lot.code for promise in order.lines.get().promises.all()] == ["S100"]
    assert not Want.objects.exists()


def test_a_seconds_order_grown_beyond_the_shelf_never_takes_firsts(client, ivory):
    order = sell_seconds(shop=make_shop(), submission=uuid.uuid4(), rows=[Row(ivory, 9)], by=client.person)
    ivory.lots.filter(grade="seconds").update(on_hand=4)
    confirm_order(order=order, version=order.version, by=client.person)
    set_aside_order(order=order, by=client.person)
    assert order.lines.get().set_aside == 4
    assert ivory.lots.get(code="F100").set_aside == 0


def test_the_same_form_sent_twice_begins_one_draft(client, ivory):
    data = form_of(make_shop(), **{f"pairs-{ivory.pk}": "6"})
    urls = {client.post(reverse("seconds_sell"), data).url for _ in range(2)}
    assert len(urls) == 1
    assert Order.objects.get().lines.count() == 1


def test_a_shelf_of_thirty_candles_asks_no_more_than_one(client, ivory, django_assert_num_queries):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    with CaptureQueriesContext(connection) as queries:
        client.get(reverse("seconds_shelf"))
        one = len(queries)
    for _ in range(29):
        make_lot(make_candle(), 3, grade="seconds", fault="bubbles")
    with django_assert_num_queries(one):
        client.get(reverse("seconds_shelf"))


@pytest.mark.parametrize("typed", ["0", "-3", "1000000000", "many", "2.5", "1 box", "\x00tree", "9" * 400])
def test_absurd_pairs_are_told_at_their_row_and_kept(client, ivory, typed):
    response = client.post(reverse("seconds_sell"), form_of(make_shop(), **{f"pairs-{ivory.pk}": typed}))
    page = text_of(response)
    assert response.status_code == 422
    assert "A whole number of pairs, 1 to 9." in page
    assert f'value="{typed.replace(chr(0), "")}"' in page
    assert not Order.objects.exists()


def test_more_than_lies_there_is_refused(client, ivory):
    response = client.post(reverse("seconds_sell"), form_of(make_shop(), **{f"pairs-{ivory.pk}": "10"}))
    assert (response.status_code, "Only 9 are free." in text_of(response)) == (422, True)
    assert not Order.objects.exists()


def test_a_sale_needs_a_shop_and_pairs(client, ivory):
    response = client.post(reverse("seconds_sell"), form_of(None, **{f"pairs-{ivory.pk}": "3"}))
    assert (response.status_code, "Who buys them?" in text_of(response)) == (422, True)
    assert 'value="3"' in text_of(response)
    response = client.post(reverse("seconds_sell"), form_of(make_shop()))
    assert "Type the pairs of at least one candle, or tick a box." in text_of(response)
    response = client.post(reverse("seconds_sell"), {"shop": 10**12, "submission": "x"})
    assert response.status_code == 422


def test_the_domain_refuses_too_much_by_itself(ivory):
    with pytest.raises(ValidationError, match="Only 9 are free"):
        sell_seconds(shop=make_shop(), submission=uuid.uuid4(), rows=[Row(ivory, 10)], by=make_person())
    assert not Order.objects.exists()


def test_the_shelf_belongs_to_the_packer(client, client_for):
    assert client_for("dipper").get(reverse("seconds_shelf")).status_code == 403
    assert client_for("bookkeeper").post(reverse("seconds_sell")).status_code == 403
    assert client.get(reverse("seconds_sell")).status_code == 405


def test_an_order_of_seconds_is_marked_wherever_it_is_listed(client, ivory):
    shop = make_shop()
    order = sell_seconds(shop=shop, submission=uuid.uuid4(), rows=[Row(ivory, 9)], by=client.person)
    assert "<b>Seconds</b>" in text_of(client.get(reverse("order_new")))
    confirm_order(order=order, version=order.version, by=client.person)
    urls = [reverse("order_book"), reverse("order", args=[order.number]), reverse("shop", args=[shop.pk])]
    assert all("<b>Seconds</b>" in text_of(client.get(url)) for url in urls)
