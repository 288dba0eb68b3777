"""What a shop owes reaches order entry and the packing bench."""

from datetime import date
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils import timezone

from orders.domain.packing import start_packing
from orders.domain.payments import post_payment
from orders.domain.setting_aside import set_aside_order
from orders.models import ExchangeRate
from orders.queries.credit import credit_of, over_limit, owed_by, shops_over_limit
from orders.queries.packing import ready_orders
from tests.factories import (
    make_box_kind,
    make_candle,
    make_lot,
    make_order,
    make_person,
    make_shop,
    make_van_days,
    make_workshop,
)
from tests.orders.ledger.books import key, make_invoice

pytestmark = pytest.mark.django_db


@pytest.fixture
def by():
    return make_person()


def pay(shop, amount, invoice, by, **fields):
    values = {"on": timezone.localdate(), "how": "bank", "parts": {key(invoice): Decimal(amount)}, **fields}
    return post_payment(shop=shop, amount=Decimal(amount), by=by, **values)


def ready_order(shop, by):
    make_workshop()
    make_van_days()
    make_box_kind(standard=True)
    candle = make_candle()
    make_lot(candle, 24, by=by)
    order = make_order(shop, [(candle, 24)], by=by, ship_by=timezone.localdate())
    set_aside_order(order=order, by=by)
    return order


def test_paid_invoices_do_not_count_and_late_ones_do(by):
    shop = make_shop(credit_limit=Decimal(200))
    paid, late = make_invoice(shop, "500.00", due=-50), make_invoice(shop, "120.00", due=-20)
    assert credit_of(shop, timezone.localdate()).over
    pay(shop, "500.00", paid, by)
    credit = credit_of(shop, timezone.localdate())
    assert (credit.owed, credit.late, credit.oldest, credit.over) == (120, 120, late.due_on, False)


def test_another_currency_counts_at_the_books_rate(by):
    shop = make_shop(credit_limit=Decimal(100))
    ExchangeRate.objects.create(currency="EUR", sterling="0.850000", since=date(2026, 1, 1))
    make_invoice(shop, "120.00", currency="EUR")
    assert credit_of(shop, timezone.localdate()).owed == 102
    assert over_limit(shop)


def test_over_its_limit_nothing_more_is_packed_until_it_has_paid(by, client_for):
    shop = make_shop(name="The Lamp Room", credit_limit=Decimal(100))
    order, invoice = ready_order(shop, by), make_invoice(shop)
    [row] = ready_orders(timezone.localdate())
    assert "The Lamp Room owes more than its credit limit" in row.why
    with pytest.raises(ValidationError, match="more than its credit limit"):
        start_packing(order=order, by=by)
    packer = client_for("packer")
    for url in (reverse("packing_bench"), order.get_absolute_url()):
        page = packer.get(url).content.decode()
        assert "more than its credit limit" in page
        assert "120.00" not in page
    pay(shop, "20.00", invoice, by)
    assert not ready_orders(timezone.localdate())[0].why
    assert start_packing(order=order, by=by).state == "packing"


def test_which_shops_are_over_is_asked_at_once(by, django_assert_num_queries):
    shops = [make_shop(credit_limit=Decimal(100)) for _ in range(4)]
    for shop in shops[:2]:
        make_invoice(shop)
    make_invoice(make_shop())
    with django_assert_num_queries(4):
        assert shops_over_limit([shop.pk for shop in shops]) == {shops[0].pk, shops[1].pk}
    with django_assert_num_queries(1):
        assert shops_over_limit([shops[0].pk + 999]) == set()


def test_what_is_owed_is_the_same_added_up_alone(by):
    ExchangeRate.objects.create(currency="EUR", since=date(2026, 1, 2), sterling=Decimal("0.8667"))
    shop, other, nothing = make_shop(credit_limit=Decimal(100)), make_shop(), make_shop()
    first = make_invoice(shop)
    make_invoice(shop, currency="EUR")
    pay(shop, "33.33", first, by)
    post_payment(shop=shop, amount=Decimal("7.77"), on=timezone.localdate(), how="bank", parts={}, by=by)
    make_invoice(other)
    owed, today = owed_by([shop.pk, other.pk, nothing.pk]), timezone.localdate()
    assert owed == {one.pk: credit_of(one, today).owed for one in (shop, other)}
    assert owed[shop.pk] == Decimal("120.00") - Decimal("41.10") + Decimal("104.00")
    assert over_limit(shop) is credit_of(shop, today).over is True


def test_order_entry_says_what_they_owe_and_how_late(by, client_for):
    shop = make_shop(name="The Lamp Room", credit_limit=Decimal(100))
    make_invoice(shop, due=-20)
    draft = make_order(shop, [(make_candle(), 24)], by=by, status="draft")
    page = client_for("bookkeeper").get(reverse("order_entry", args=[draft.number])).content.decode()
    assert "what they owe 120.00" in page
    assert "The Lamp Room is 120.00 late with its payments." in page


def test_the_shops_page_tells_the_debt(by, client_for):
    shop = make_shop(name="The Lamp Room", credit_limit=Decimal(100))
    make_invoice(shop, due=-20)
    page = client_for("bookkeeper").get(shop.get_absolute_url()).content.decode()
    assert "owes 120.00, more than its limit of 100.00; 120.00 of it is late" in page
    assert reverse("shop_ledger", args=[shop.pk]) in page
