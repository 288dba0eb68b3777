"""Prices agreed with one shop, on its page; shop groups; what a shop pays, in words."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse
from django.utils import timezone

from inventory.domain.versions import fingerprint
from inventory.models import Record
from orders.domain.agreed import AGREED_FIELDS
from orders.models import AgreedPrice, ShopGroup
from tests.factories import make_candle, make_order, make_shop
from tests.factories.prices import make_agreed, make_group, make_price_list
from tests.orders.entry_forms import queries_of, text_of

pytestmark = pytest.mark.django_db
D = Decimal
TODAY = timezone.localdate()


@pytest.fixture
def owner(client_for):
    return client_for("owner")


@pytest.fixture
def candle():
    return make_candle(code="IV250", name="Ivory taper 250")


def typed(one, **fields):
    return {"candle": one.pk, "price": "1.95", "since": f"{TODAY}", "until": "", **fields}


def changed(row, **fields):
    values = {
        "price": row.price,
        "since": row.since,
        "until": row.until or "",
        "seen": fingerprint(row, AGREED_FIELDS),
    }
    return {**values, **({"takes_discount": "on"} if row.takes_discount else {}), **fields}


def test_a_price_is_agreed_once_and_stands_on_the_shops_page(owner, candle):
    shop = make_shop(name="Lamp Room")
    make_price_list([(candle, "2.30")], name="Autumn", since=TODAY)
    for _ in range(2):
        assert owner.post(reverse("agreed_new", args=[shop.pk]), typed(candle)).url == shop.get_absolute_url()
    row = AgreedPrice.objects.get()
    assert (row.price, row.currency, row.takes_discount) == (D("1.95"), "GBP", False)
    page = text_of(owner.get(shop.get_absolute_url()))
    assert "1 agreed price, else Autumn" in page
    assert "in force, net, no discount comes off" in page
    assert Record.objects.filter(subject="shop", what__startswith="Agreed: IV250 at 1.95 GBP").count() == 1


def test_an_agreement_ordered_by_can_only_end(owner, candle):
    shop = make_shop()
    row = make_agreed(shop, candle, since=TODAY - timedelta(30))
    make_order(shop, [(candle, 12)], placed_on=TODAY - timedelta(5))
    url = reverse("agreed_edit", args=[shop.pk, row.pk])
    assert "it can only end" in text_of(owner.get(url))
    for fields, field in (
        ({"price": "1.80"}, "price"),
        ({"since": f"{TODAY - timedelta(40)}"}, "since"),
        ({"until": f"{TODAY - timedelta(6)}"}, "until"),
    ):
        answer = owner.post(url, changed(row, **fields))
        assert answer.status_code == 422
        assert list(answer.context["form"].errors) == [field]
    assert owner.post(reverse("agreed_remove", args=[shop.pk, row.pk])).status_code == 422
    assert owner.post(url, changed(row, until=f"{TODAY}")).status_code == 302
    row.refresh_from_db()
    assert (row.price, row.until) == (D("1.95"), TODAY)


def test_one_nobody_ordered_by_is_mended_or_taken_back(owner, candle):
    shop = make_shop()
    row = make_agreed(shop, candle)
    url = reverse("agreed_edit", args=[shop.pk, row.pk])
    assert owner.post(url, changed(row, price="1.80", takes_discount="on")).status_code == 302
    row.refresh_from_db()
    assert (row.price, row.takes_discount) == (D("1.80"), True)
    remove = reverse("agreed_remove", args=[shop.pk, row.pk])
    assert owner.get(remove).status_code == 405
    assert owner.post(remove).url == shop.get_absolute_url()
    assert owner.post(remove).status_code == 404
    assert not AgreedPrice.objects.exists()


def test_the_second_of_two_is_told_and_loses_nothing(owner, candle):
    shop = make_shop()
    row = make_agreed(shop, candle)
    stale = changed(row, price="1.50")
    AgreedPrice.objects.update(price=D("1.70"))
    answer = owner.post(reverse("agreed_edit", args=[shop.pk, row.pk]), stale)
    assert answer.status_code == 422
    assert "Written down meanwhile" in answer.content.decode()
    assert 'value="1.50"' in answer.content.decode()
    assert AgreedPrice.objects.get().price == D("1.70")


def test_it_begins_after_the_candle_was_ordered_and_not_twice_a_day(owner, candle):
    shop = make_shop()
    make_order(shop, [(candle, 12)], placed_on=TODAY)
    url = reverse("agreed_new", args=[shop.pk])
    answer = owner.post(url, typed(candle))
    assert "from a later day" in answer.context["form"].errors["since"][0]
    tomorrow = f"{TODAY + timedelta(1)}"
    assert owner.post(url, typed(candle, since=tomorrow)).status_code == 302
    answer = owner.post(url, typed(candle, since=tomorrow, price="1.90"))
    assert answer.context["form"].errors == {"since": ["IV250 has an agreed price from that day already."]}


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"candle": ""}, "candle"),
        ({"candle": "999999"}, "candle"),
        ({"price": "0"}, "price"),
        ({"price": "-2"}, "price"),
        ({"price": "1000000000"}, "price"),
        ({"price": "1.999"}, "price"),
        ({"price": "x"}, "price"),
        ({"price": ""}, "price"),
        ({"since": ""}, "since"),
        ({"since": "1999-12-31"}, "since"),
        ({"since": "2999-12-31"}, "since"),
        ({"until": "2000-01-01"}, "until"),
        ({"until": "never\x00"}, "until"),
    ],
)
def test_bad_agreements_are_told_at_their_field(owner, candle, fields, field):
    shop = make_shop()
    answer = owner.post(reverse("agreed_new", args=[shop.pk]), typed(candle, **fields))
    assert answer.status_code == 422
    assert list(answer.context["form"].errors) == [field]
    assert not AgreedPrice.objects.exists()


@pytest.mark.parametrize("fields", [{"price": 0}, {"price": -1}, {"until": TODAY - timedelta(900)}])
def test_the_table_refuses_them_too(candle, fields):
    with pytest.raises(IntegrityError), transaction.atomic():
        make_agreed(make_shop(), candle, **fields)


@pytest.mark.parametrize("role", ["packer", "dipper", "bookkeeper"])
def test_agreements_are_the_owners(client_for, candle, role):
    row = make_agreed(make_shop(), candle)
    client = client_for(role)
    assert client.post(reverse("agreed_new", args=[row.shop_id]), typed(candle)).status_code == 403
    for name in ("agreed_edit", "agreed_remove"):
        assert client.post(reverse(name, args=[row.shop_id, row.pk])).status_code == 403
    assert owner_of_another_shop_finds_nothing(client_for("owner"), row)


def owner_of_another_shop_finds_nothing(client, row):
    other = make_shop()
    return client.get(reverse("agreed_edit", args=[other.pk, row.pk])).status_code == 404


def test_one_in_another_currency_is_shown_as_unused(owner, candle):
    shop = make_shop(currency="EUR")
    make_agreed(shop, candle, currency="GBP")
    page = text_of(owner.get(shop.get_absolute_url()))
    assert "in GBP: not used while they buy in EUR" in page
    assert "no list in EUR yet" in page


def test_a_shops_page_costs_the_same_for_thirty_agreements(owner, django_assert_num_queries):
    shop = make_shop()
    make_agreed(shop)
    one = queries_of(owner, shop.get_absolute_url())
    for _ in range(29):
        make_agreed(shop)
    with django_assert_num_queries(one):
        owner.get(shop.get_absolute_url())


def test_groups_are_kept_like_every_list_of_the_set_up(owner):
    owner.post(reverse("shop_groups"), {"name": "Farm shops", "note": ""})
    group = ShopGroup.objects.get()
    assert owner.post(reverse("shop_groups"), {"name": "Farm shops"}).status_code == 422
    assert "1 shop group; a list for a group goes before" in text_of(owner.get(reverse("shop_groups")))
    make_group(make_shop(), name="Churches")
    used = ShopGroup.objects.get(name="Churches")
    assert "it is used by 1 shop" in text_of(owner.post(reverse("shop_group_delete", args=[used.pk])))
    assert owner.post(reverse("shop_group_delete", args=[group.pk])).status_code == 302
