"""An order's page, and setting it aside from there."""

import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from orders.domain.releasing import release_order
from orders.domain.setting_aside import set_aside_order
from orders.models import Order, SetAside, Shop
from tests.factories import make_box_kind, make_candle, make_colour, make_lot, make_order, make_shop, make_van_days
from tests.factories.sent import make_sent
from tests.orders.ledger.books import make_invoice
from tests.orders.order_pages import now, page, text
from tests.recount import recount

pytestmark = pytest.mark.django_db


def test_the_page_tells_the_whole_story(packer, order):
    html = text(packer.get(page("order", order)))
    assert "Order 2001: 12 of 48 pairs for Ossel Gifts are open" in html
    for told in (
        "R2417",
        "12 short: no more free; one lot, R2417",
        "2.20",
        "trade price",
        "4 Tanner Row",
        "Set aside 36",
    ):
        assert told in html, told
    assert 'aria-label="48 pairs: 0 sent, 36 set aside, 0 on the floor, 0 planned, 12 open"' in html
    assert html.count('class="solid"') == 1


@pytest.mark.parametrize("status", ["done", "cancelled"])
def test_an_order_that_is_over_can_be_read_but_not_changed(packer, status):
    order = make_order(status=status)
    html = text(packer.get(page("order", order)))
    assert '<form method="post" action="/orders/' not in html
    assert "Change pairs" not in html
    for name in ("order_change", "order_add", "order_header"):
        assert packer.post(page(name, order), {"pairs": 3, "candle": "IV", "version": 1}).status_code == 422


def test_a_draft_is_shown_on_its_own_page(packer):
    draft = make_order(status="draft")
    entry = reverse("order_entry", args=[draft.number])
    for name in ("order", "order_cancel", "order_header", "order_add", "order_change"):
        assert packer.get(page(name, draft)).url == entry


@pytest.mark.parametrize("number", [1, 10**25])
def test_an_unknown_order_is_not_found(packer, number):
    for name in ("order", "order_cancel", "release_order", "order_header", "order_add", "take_over", "order_change"):
        assert packer.get(reverse(name, args=[number])).status_code == 404


def test_a_shop_on_stop_is_said_to_be(packer):
    order = make_order(shop=make_shop(on_stop=True, stop_reason="owes since June"))
    assert "on stop (owes since June)" in text(packer.get(page("order", order)))


def test_a_long_order_asks_no_more_than_a_short_one(packer):
    colours = [make_colour() for _ in range(3)]
    shop, asked = make_shop(other_colour="ask"), []
    for lines in (1, 30):
        wanted = [make_candle(colour=colours[0], length_mm=20 * lines + n) for n in range(lines)]
        for candle in wanted:
            make_lot(candle, 5), make_lot(candle, 5, made_on=timezone.localdate())
            make_lot(make_candle(colour=colours[1], length_mm=candle.length_mm), 7)
        order = make_order(shop=shop, lines=[(candle, 24) for candle in wanted])
        set_aside_order(order=order, by=packer.person)
        address = page("order", order)
        with CaptureQueriesContext(connection) as queries:
            html = text(packer.get(address))
        assert html.count("7 free in") == lines
        assert "Set aside what is free" not in html  # what is free is of other candles
        asked.append(len(queries))
    assert asked[0] == asked[1] <= 17, asked


@pytest.mark.parametrize(("free", "offered"), [(23, True), (24, False)])
def test_nothing_else_is_offered_where_the_candle_itself_lies_free(packer, free, offered):
    """Neither another colour nor another order's pairs: one tap sets the free ones aside."""
    ivory, moss = make_colour(), make_colour()
    candle, shop = make_candle(colour=ivory), make_shop(other_colour="ask")
    make_lot(candle, 12), make_lot(make_candle(colour=moss), 40)
    set_aside_order(order=make_order(lines=[(candle, 12)]), by=packer.person)
    order = make_order(shop=shop, lines=[(candle, 24)])
    make_lot(candle, free)
    html = text(packer.get(page("order", order)))
    assert f"24 open, {free} free in stock" in html
    assert ("40 free in" in html) == ("Take over" in html) == offered


def test_an_order_that_has_left_is_not_asked_what_it_lacks(packer):
    asked = []
    for lines in (1, 30):
        order = make_order(lines=[(make_candle(), 24) for _ in range(lines)])
        make_sent(order, lots=2)
        address = page("order", order)
        with CaptureQueriesContext(connection) as queries:
            assert text(packer.get(address)).count("</a> 12 sent</li>") == 2 * lines
        tables = {table for query in queries for table in re.findall(r'FROM "(\w+)"', query["sql"])}
        assert tables & {"orders_setaside", "production_hungfor", "production_plannedfor", "inventory_lot"} == set()
        asked.append(len(queries))
    assert asked[0] == asked[1] <= 12, asked


def test_what_a_shop_owes_is_asked_only_where_something_could_be_packed(packer, order):
    Shop.objects.update(credit_limit=0)
    make_invoice(order.shop)
    html = text(packer.get(page("order", order)))
    assert "Not packed yet: Ossel Gifts owes more than its credit limit" in html
    release_order(order=order, version=now(order).version, by=packer.person)
    with CaptureQueriesContext(connection) as queries:
        html = text(packer.get(page("order", order)))
    assert "Start packing" not in html
    assert not [query for query in queries if '"orders_invoice"' in query["sql"]]


@pytest.mark.parametrize(
    ("name", "roles", "gets"),
    [
        ("set_aside_order", ["packer"], False),
        ("release_order", ["packer"], True),
        ("release", ["packer"], True),
        ("take_over", ["packer"], True),
        ("order_cancel", ["packer", "bookkeeper"], True),
        ("order_change", ["packer", "bookkeeper"], True),
        ("order_header", ["packer", "bookkeeper"], True),
        ("order_add", ["packer", "bookkeeper"], True),
        ("other_colour", ["packer", "bookkeeper"], False),
    ],
)
def test_each_act_is_for_its_people(client_for, order, name, roles, gets):
    url = page(name, order)
    for role in ("dipper", "bookkeeper", "packer"):
        client = client_for(role)
        if role in roles:
            assert client.get(url).status_code == (200 if gets else 405)
        else:
            assert client.get(url).status_code == 403
            assert client.post(url).status_code == 403
    assert SetAside.objects.get().pairs == 36


def test_an_order_is_set_aside(packer, order):
    make_lot(order.lines.get().candle, 20)
    assert "12 pairs set aside; nothing stays open." in text(packer.post(page("set_aside_order", order), follow=True))
    assert "Nothing was open" in text(packer.post(page("set_aside_order", order), follow=True))
    assert order.lines.get().set_aside == 48
    recount()


def test_an_order_called_off_is_not_set_aside(packer):
    order = make_order(status="cancelled")
    assert "nothing is set aside for it" in text(packer.post(page("set_aside_order", order), follow=True))


def test_a_covered_order_can_be_packed_from_its_page(packer, order):
    make_van_days(), make_box_kind(standard=True)
    html = text(packer.get(page("order", order)))
    assert "Start packing" in html
    packer.post(reverse("start_packing", args=[order.number]))
    html = text(packer.get(page("order", order)))
    assert "To its boxes" in html
    assert "Start packing" not in html
    assert "36 packed" in html


def test_what_has_left_names_its_lot_and_papers(packer, order):
    delivery = make_sent(order, 12)
    html = text(packer.get(page("order", order)))
    assert "</a> 12 sent" in html
    assert f'href="{delivery.get_absolute_url()}"' in html
    assert f'href="{delivery.note.get_absolute_url()}"' in html


def test_why_an_order_cannot_be_packed_is_said(packer, order):
    Order.objects.filter(pk=order.pk).update(complete_only=True)
    html = text(packer.get(page("order", order)))
    assert "Not packed yet:" in html
    assert "Start packing" not in html
