"""Order entry's money: each price with its source, the discount on one order, carriage, the smallest order."""

from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from orders.models import Order
from orders.queries.entry import CandleBook, TypedRow, answer_rows
from orders.queries.entry_total import total_of_rows
from tests.factories import (
    make_address,
    make_box_kind,
    make_candle,
    make_order,
    make_shop,
    make_vat_rates,
    make_workshop,
)
from tests.factories.prices import make_agreed, make_price_list
from tests.orders.entry_forms import form_of, send, text_of

pytestmark = pytest.mark.django_db
D = Decimal


@pytest.fixture
def candle():
    return make_candle(code="IV250", trade_price=D("2.20"), pairs_per_box=24)


def draft(**terms):
    return make_order(make_shop(**terms), [], status="draft", order_discount=0)


def sums_of(order, *rows):
    page = CandleBook().read([TypedRow(*row) for row in rows])
    answer_rows(order, page)
    return page, total_of_rows(order, page)


def test_each_row_says_where_its_price_came_from(packer, candle):
    other = make_candle(code="RD250")
    make_price_list([(candle, "2.30")], [(None, 2, "5")], name="Autumn", since=timezone.localdate())
    order = draft(discount=D(10))
    make_agreed(order.shop, other, price=D("2.00"), since=timezone.localdate())
    page = text_of(send(packer, "order_save", order, [("IV250", "48"), ("RD250", "10")], live=True))
    assert "list Autumn, from 2 boxes: 5 % off 2.30" in page
    assert "agreed price since" in page
    # 48 x 2.19 less 10 % is 94.608; the agreed price is net: 20.00.
    assert "Goods 114.61" in page


def test_a_discount_on_the_order_comes_off_the_goods_before_carriage_is_judged(candle):
    make_workshop()
    make_vat_rates()
    order = draft(carriage=D("8.50"), carriage_free_above=D(100), minimum_order=D("99.51"))
    order.order_discount, order.order_discount_reason = D("5"), "opening order"
    _, sums = sums_of(order, ("IV250", "47"))
    total = sums.total
    # 47 x 2.20 = 103.40, less 5.17 = 98.23: below 100, so 8.50 carriage; VAT 20 % of 106.73 = 21.346.
    assert (total.goods, total.allowance, total.carriage, total.vat) == (D("103.40"), D("5.17"), D("8.50"), D("21.35"))
    assert sums.too_small == "Their smallest order is 99.51 of goods; this one comes to 98.23, 1.28 short."


def test_what_goes_abroad_bears_no_vat(packer, candle):
    make_workshop()
    make_vat_rates()
    order = draft(address=False)
    order.deliver_to = make_address(order.shop, country="FR", postcode="75001")
    order.save()
    sums = sums_of(order, ("IV250", "10"))[1]
    assert (sums.total.vat, sums.no_vat_because) == (0, "export")
    page = text_of(packer.get(order.get_absolute_url()))
    assert "VAT 0.00" in page
    order.deliver_to.country = "GB"
    assert sums_of(order, ("IV250", "10"))[1].total.vat == D("4.40")


def test_carriage_by_weight_counts_pairs_and_boxes(candle):
    make_box_kind(standard=True, tare_g=250)
    order = draft(carriage=D("6.50"), carriage_by="weight", carriage_kilos=5)
    # A pair weighs 128.64 g: 24 of them and a box are 3.34 kg, 48 and two boxes 6.67 kg; tenths are rounded up.
    assert sums_of(order, ("IV250", "24"))[1].carriage.amount == D("6.50")
    found = sums_of(order, ("IV250", "48"))[1].carriage
    assert (found.amount, found.why) == (D("13.00"), "6.7 kg with boxes, 6.50 for each started 5 kg")


def test_a_currency_without_a_price_is_said_in_the_row(packer, candle):
    order = draft(currency="EUR")
    page = text_of(send(packer, "order_save", order, [("IV250", "48")], live=True))
    assert "no price in EUR" in page
    answer = send(packer, "order_confirm", order, [("IV250", "48")])
    assert answer.status_code == 422
    assert "Put it on a list in EUR, or agree a price." in text_of(answer)


@pytest.mark.parametrize(
    ("percent", "reason", "field"),
    [
        ("101", "x", "order_discount"),
        ("90.01", "x", "order_discount"),
        ("-1", "x", "order_discount"),
        ("1000000000", "x", "order_discount"),
        ("five", "x", "order_discount"),
        ("NaN", "x", "order_discount"),
        ("5", "", "order_discount_reason"),
        ("5", "x" * 81, "order_discount_reason"),
        ("5", "x\x00", "order_discount_reason"),
    ],
)
def test_a_bad_discount_is_told_beside_it_and_the_rest_kept(packer, candle, percent, reason, field):
    order = draft()
    answer = send(packer, "order_save", order, [("IV250", "48")], order_discount=percent, order_discount_reason=reason)
    assert answer.status_code == 422
    assert list(answer.context["header"].errors) == [field]
    assert percent in answer.content.decode()
    order = Order.objects.get(pk=order.pk)
    assert (order.order_discount, order.order_discount_reason, order.lines.count()) == (0, "", 1)


def test_a_discount_is_kept_frozen_and_shown_with_its_reason(packer, candle):
    make_workshop()
    order = draft(minimum_order=D(500))
    fields = {"order_discount": "7.5", "order_discount_reason": "late last time"}
    page = text_of(send(packer, "order_save", order, [("IV250", "48")], live=True, **fields))
    assert "less 7.92 <small>7.5 % late last time</small>" in page
    assert "Their smallest order is 500.00 of goods" in page
    answer = packer.post(
        reverse("order_confirm", args=[order.number]),
        {**form_of(order, [("IV250", "48")], **fields), "ship_by": f"{timezone.localdate()}"},
        follow=True,
    )
    page = text_of(answer)
    assert "7.5 %, late last time" in page
    # Warned on its page, which is where one is led: once.
    assert page.count("this one comes to 97.68, 402.32 short.") == 1
    order.refresh_from_db()
    assert (order.status, order.order_discount, order.minimum_order) == ("confirmed", D("7.5"), D(500))
