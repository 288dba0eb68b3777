"""The printed trade list: priced by the rules of an order, pairs drawn, never a second."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.template.loader import render_to_string
from django.urls import reverse

from orders.documents.trade_list import trade_list_for, trade_list_of
from orders.domain.pricing import price_of
from tests.factories import make_candle, make_lot, make_shop, make_workshop
from tests.factories.prices import make_agreed, make_group, make_price_list, make_seconds_price

pytestmark = pytest.mark.django_db
D = Decimal
TODAY = date(2026, 11, 25)


@pytest.fixture
def candle():
    return make_candle(code="IV250", name="Ivory taper", trade_price=D("2.20"), pairs_per_box=24)


def rows_of(found):
    return {row.candle.code: (row.price, row.box, row.more) for _, rows in found.sections for row in rows}


def test_every_candle_with_its_price_a_pair_a_box_and_with_more_boxes(candle):
    tall = make_candle(code="CH450", pairs_per_box=4, trade_price=D("13"))
    make_candle(code="OLD", active=False)
    make_candle(code="BARE", trade_price=D("5"), pairs_per_box=10)
    row = make_price_list(
        [(candle, "2.30"), (tall, "13.20")], [(None, 4, "3"), (None, 8, "5"), (tall, 5, "2.5")], note="Carriage paid."
    )
    found = trade_list_of(row, TODAY)
    assert rows_of(found) == {
        "IV250": ("2.30", "55.20", ("from 4 boxes 2.23", "from 8 boxes 2.19")),
        "CH450": ("13.20", "52.80", ("from 5 boxes 12.87",)),
        "BARE": ("5.00", "50.00", ()),
    }
    assert (found.from_day, found.note, found.symbol) == ("1 October 2026", "Carriage paid.", "£")


def test_a_groups_list_falls_back_on_everybodys(candle):
    other = make_candle(code="RD250")
    make_price_list([(other, "2.55")])
    row = make_price_list([(candle, "2.10")], group=make_group(name="Farm shops"))
    found = trade_list_of(row, TODAY)
    assert {code: price for code, (price, _, _) in rows_of(found).items()} == {"IV250": "2.10", "RD250": "2.55"}
    assert found.whom == "Farm shops"


def test_a_list_in_another_currency_leaves_out_what_it_does_not_price(candle):
    make_candle(code="BARE")
    found = trade_list_of(make_price_list([(candle, "2.90")], currency="EUR"), TODAY)
    assert (list(rows_of(found)), found.symbol) == (["IV250"], "€")


def test_what_one_shop_pays_is_what_its_order_would_cost(candle):
    other = make_candle(code="RD250", trade_price=D("2.40"))
    shop = make_shop(
        name="Lamp Room", discount=D("5"), carriage=D("8.50"), carriage_free_above=D(250), minimum_order=D(75)
    )
    make_agreed(shop, candle)
    found = trade_list_for(shop, TODAY)
    assert {code: D(price) for code, (price, _, _) in rows_of(found).items()} == {
        one.code: price_of(one, shop, "firsts").price for one in (candle, other)
    }
    assert found.terms == [
        "Your discount of 5 % comes off these prices, except off those agreed with you.",
        "Carriage: 8.50 an order, free from goods of 250.00.",
        "Smallest order: goods of 75.00.",
    ]


def test_pairs_are_drawn_and_seconds_are_never_on_it(candle):
    make_lot(candle, 24, grade="seconds", fault="bent")
    make_seconds_price(basis="box", value=D("11.11"), since=TODAY - timedelta(30))
    make_workshop()
    html = render_to_string(
        "print/trade_list.html", {"list": trade_list_of(make_price_list([(candle, "2.30")]), TODAY)}
    )
    assert html.count('<svg class="pair"') == 1
    for word in ("second", "Second", "11.11", "bent", "rotate("):
        assert word not in html


def test_it_prints_for_whoever_takes_orders(client_for, candle):
    make_workshop()
    row, shop = make_price_list([(candle, "2.30")], name="Autumn 2026"), make_shop(name="Lamp & Larder")
    answer = client_for("packer").get(reverse("trade_list", args=[row.pk]))
    assert (answer["Content-Type"], answer.content[:5]) == ("application/pdf", b"%PDF-")
    assert 'filename="autumn-2026.pdf"' in answer["Content-Disposition"]
    url = reverse("shop_trade_list", args=[shop.pk])
    assert client_for("dipper").get(url).status_code == 403
    assert client_for("bookkeeper").post(url).status_code == 405
    assert client_for("owner").get(reverse("trade_list", args=[row.pk + 99])).status_code == 404
