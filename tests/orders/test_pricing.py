"""Prices at the book: what an order's lines cost, and that a later list never changes a confirmed order."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from inventory.models import Record
from orders.domain.changing import add_line, change_pairs
from orders.domain.ordering import confirm_order, save_draft
from orders.domain.price_lists import BreakRow, save_list
from orders.domain.pricing import price_candles, price_of
from orders.models import Order
from tests.factories import make_box_kind, make_candle, make_order, make_person, make_shop
from tests.factories.prices import make_agreed, make_group, make_price_list, make_seconds_price
from tests.orders.test_ordering import draft_of

pytestmark = pytest.mark.django_db
D = Decimal
TODAY = timezone.localdate


@pytest.fixture
def by():
    return make_person()


@pytest.fixture
def candle():
    return make_candle(code="IV250", trade_price=D("2.20"), pairs_per_box=24)


def figures(line):
    return line.price, line.price_from, line.price_list_id, line.list_price, line.takes_discount


def test_the_newest_list_that_has_begun_and_the_groups_before_it(candle):
    shop, other = make_shop(), make_candle(trade_price=D("9"))
    make_price_list([(candle, "2.25")], name="Old list", since=TODAY() - timedelta(400))
    make_price_list([(candle, "2.30")], name="Autumn", since=TODAY())
    make_price_list([(candle, "2.90")], name="Next", since=TODAY() + timedelta(1))
    price = price_of(candle, shop, "firsts")
    assert (price.price, price.words) == (D("2.30"), "list Autumn")
    group = make_group(shop)
    make_price_list([(candle, "2.10")], name="Farm", group=group)
    assert price_of(candle, shop, "firsts").words == "list Farm"
    # What the group's list does not name is found on everybody's, and what no list names at its trade price.
    assert price_of(other, shop, "firsts").words == "trade price"
    assert price_of(candle, make_shop(), "firsts").words == "list Autumn"


def test_an_agreement_counts_on_its_days_and_in_its_currency(candle):
    shop = make_shop()
    make_agreed(shop, candle, since=TODAY() - timedelta(20), until=TODAY() - timedelta(1))
    assert price_of(candle, shop, "firsts").words == "trade price"
    make_agreed(shop, candle, price=D("1.90"), since=TODAY(), until=TODAY())
    assert price_of(candle, shop, "firsts").price == D("1.90")
    shop.currency = "EUR"
    shop.save()
    assert not price_of(candle, shop, "firsts").known


def test_seconds_go_by_the_newest_rule(candle):
    make_seconds_price(value=40, since=TODAY() - timedelta(90))
    make_seconds_price(basis="box", value=D("30"), since=TODAY())
    make_seconds_price(basis="kilo", value=D("9"), since=TODAY() + timedelta(1))
    price = price_of(candle, make_shop(), "seconds")
    assert (price.price, price.words) == (D("1.25"), "seconds, 30.00 a box of 24 pairs")


def test_many_candles_cost_the_same_queries_as_one(candle, django_assert_num_queries):
    shop = make_shop(group=make_group())
    make_price_list([(candle, "2.30")], [(None, 2, "5")])
    make_agreed(shop)
    rows = [(make_candle(), 24) for _ in range(12)]
    with django_assert_num_queries(4):
        price_candles(shop, "firsts", [(candle, 24), *rows])


def test_a_list_never_changes_a_confirmed_order(candle, by):
    row = make_price_list([(candle, "2.30")], [(None, 2, "5")], name="Autumn", since=TODAY())
    order = draft_of([(candle, 48)], by)
    order = confirm_order(order=order, version=2, by=by)
    line = order.lines.get()
    frozen = (D("2.19"), "list Autumn, from 2 boxes: 5 % off 2.30", row.pk, D("2.30"), True)
    assert figures(line) == frozen
    later = save_list(
        row=row, version=1, name="Winter", note="", since=TODAY() + timedelta(1), prices={candle.pk: D("2.80")},
        breaks=[], by=by,
    )  # fmt: skip
    assert later.pk != row.pk
    make_agreed(order.shop, candle, since=TODAY())
    line.refresh_from_db()
    assert figures(line) == frozen
    # Fewer boxes lose the break, more find it again, on the very list it was confirmed by.
    order.refresh_from_db()
    change_pairs(line=line, pairs=47, version=order.version, by=by)
    line.refresh_from_db()
    assert figures(line)[:2] == (D("2.30"), "list Autumn")
    change_pairs(line=line, pairs=72, version=order.version + 1, by=by)
    line.refresh_from_db()
    assert figures(line) == frozen
    assert Record.objects.filter(what__contains="from 2 boxes: 5 % off 2.30: 2.19 a pair.").exists()


def test_once_pairs_have_left_the_price_stays(candle, by):
    make_price_list([(candle, "2.30")], [(None, 2, "5")], since=TODAY())
    order = confirm_order(order=draft_of([(candle, 48)], by), version=2, by=by)
    order.lines.update(sent=24)
    change_pairs(line=order.lines.get(), pairs=24 + 1, version=order.version, by=by)
    assert order.lines.get().price == D("2.19")


def test_a_line_more_counts_towards_the_break(candle, by):
    make_price_list([(candle, "2.30")], [(None, 2, "5")], since=TODAY())
    order = confirm_order(order=draft_of([(candle, 24)], by), version=2, by=by)
    added = add_line(order=order, candle=candle, pairs=24, version=order.version, by=by)
    assert added.price == D("2.19")


def test_an_agreed_price_is_net_of_the_shops_discount(candle, by):
    shop = make_shop(discount=D(10))
    make_agreed(shop, candle, price=D("1.95"), since=TODAY())
    order = confirm_order(order=draft_of([(candle, 10), (make_candle(), 10)], by, shop=shop), version=2, by=by)
    assert [line.discount for line in order.lines.select_related("order")] == [0, D(10)]


def test_every_term_is_frozen_with_the_order(candle, by):
    terms = {
        "currency": "EUR", "minimum_order": D("75"), "carriage": D("4"), "carriage_by": "weight", "carriage_kilos": 15,
    }  # fmt: skip
    shop = make_shop(**terms)
    make_price_list([(candle, "2.90")], currency="EUR", since=TODAY())
    order = confirm_order(order=draft_of([(candle, 10)], by, shop=shop), version=2, by=by)
    shop.currency, shop.minimum_order, shop.carriage_by = "GBP", None, "flat"
    shop.save()
    order.refresh_from_db()
    assert {name: getattr(order, name) for name in terms} == terms
    with pytest.raises(ValidationError, match="a new order takes what is to be added"):
        add_line(order=order, candle=make_candle(), pairs=1, version=order.version, by=by)


def test_without_a_price_in_the_shops_currency_a_draft_is_kept_and_not_taken(candle, by):
    shop = make_shop(currency="EUR")
    order = draft_of([(candle, 10)], by, shop=shop)
    assert (order.lines.get().price, order.lines.get().price_from) == (0, "no price in EUR")
    with pytest.raises(ValidationError) as refused:
        confirm_order(order=order, version=2, by=by)
    assert refused.value.message_dict["rows"] == ["No price in EUR: IV250. Put it on a list in EUR, or agree a price."]
    make_agreed(shop, candle, price=D("2.75"), since=TODAY())
    assert confirm_order(order=order, version=2, by=by).lines.get().price == D("2.75")


@pytest.mark.parametrize(
    ("percent", "reason", "field"),
    [("-1", "x", "order_discount"), ("90.01", "x", "order_discount"), ("5", " ", "order_discount_reason")],
)
def test_a_discount_on_one_order_has_bounds_and_a_reason(candle, by, percent, reason, field):
    order = draft_of([(candle, 10)], by)
    header = {"order_discount": D(percent), "order_discount_reason": reason}
    with pytest.raises(ValidationError) as refused:
        save_draft(order=order, version=2, header=header, rows=[], by=by)
    assert list(refused.value.message_dict) == [field]


@pytest.mark.parametrize("fields", [{"order_discount": 91, "order_discount_reason": "x"}, {"order_discount": 5}])
def test_the_table_refuses_such_a_discount_too(candle, fields):
    order = make_order(make_shop(), [(candle, 1)])
    with pytest.raises(IntegrityError), transaction.atomic():
        Order.objects.filter(pk=order.pk).update(**fields)


def test_carriage_by_box_and_weight_that_no_invoice_can_hold_is_refused(by):
    make_box_kind(standard=True, tare_g=250)
    shop = make_shop(carriage=D("9999.99"), carriage_by="box")
    with pytest.raises(ValidationError) as refused:
        draft_of([(make_candle(pairs_per_box=1), 101)], by, shop=shop)
    assert "Carriage would come to 1,009,998.99" in refused.value.message_dict["rows"][0]


def test_breaks_of_a_saved_list_are_those_an_order_finds(candle, by):
    row = make_price_list([(candle, "2.00")], since=TODAY())
    save_list(
        row=row, version=1, name=row.name, note="", since=row.since, prices={candle.pk: D("2.00")},
        breaks=[BreakRow(candle.pk, 3, D("12.5"))], by=by,
    )  # fmt: skip
    assert price_of(candle, make_shop(), "firsts", 72).price == D("1.75")
