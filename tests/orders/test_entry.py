"""Order entry over HTTP: choosing the shop, the draft as a plain form, the form as the script sends it."""

import uuid
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from orders.models import Order
from tests.factories import (
    make_lot,
    make_order,
    make_shop,
    make_van_days,
    make_workshop,
)
from tests.orders.entry_forms import kept, queries_of, send, text_of

pytestmark = pytest.mark.django_db


# --- whose order


def test_a_shop_is_found_by_any_part_of_its_name_or_town(packer):
    make_shop(name="The Lamp Room", town="Wexcombe")
    make_shop(name="Hearth and Reed", town="Orrin Bay")
    page = text_of(packer.get(reverse("shop_find"), {"q": "lamp wex"}))
    assert "The Lamp Room" in page
    assert "Hearth and Reed" not in page
    assert "No shop of that name" in text_of(packer.get(reverse("order_new"), {"q": "no such shop"}))


def test_choosing_a_shop_begins_a_draft_once(packer):
    make_van_days(1)
    shop, submission = make_shop(), uuid.uuid4()
    first = packer.post(reverse("order_new"), {"shop": shop.pk, "submission": submission})
    second = packer.post(reverse("order_new"), {"shop": shop.pk, "submission": submission})
    order = Order.objects.get()
    assert first.url == second.url == reverse("order_entry", args=[order.number])
    assert order.ship_by.weekday() == 1
    assert timedelta(7) <= order.ship_by - timezone.localdate() < timedelta(14)


def test_drafts_begun_are_listed_with_the_same_queries_for_one_and_thirty(packer, django_assert_num_queries):
    shop = make_shop()
    make_order(shop, status="draft")
    packer.get(reverse("order_new"))
    one = queries_of(packer, reverse("order_new"))
    for _ in range(29):
        make_order(make_shop(), status="draft")
    with django_assert_num_queries(one):
        page = packer.get(reverse("order_new"), {"d-per_page": 30})
    assert b"Drafts begun" in page.content


# --- the draft's page


def test_the_draft_answers_beside_each_row(packer, draft, ivory, red):
    make_lot(ivory, 100, code="R2417")
    make_workshop()
    send(packer, "order_save", draft, [("iv250", "144"), ("winter red", "12")])
    page = text_of(packer.get(draft.get_absolute_url()))
    assert kept(draft) == [("IV250", 144), ("RD250", 12)]
    assert "The Lamp Room, Orrin Bay: 156 pairs, all but 56 in stock." in page
    assert "100 free now: R2417" in page
    assert "44 open" in page
    assert "316.80" in page
    assert "Goods 345.60" in page
    assert "VAT 69.12" in page


def test_rows_of_one_candle_share_its_free_pairs(packer, draft, ivory):
    make_lot(ivory, 50)
    send(packer, "order_save", draft, [("IV250", "40"), ("IV250", "40")])
    page = text_of(packer.get(draft.get_absolute_url()))
    assert "80 pairs, all but 30 in stock" in page
    assert "10 free now" in page
    assert "also in row 2" in page


def test_pairs_wanted_by_other_orders_are_said(packer, draft, ivory):
    make_lot(ivory, 50)
    make_order(lines=[(ivory, 30)])
    send(packer, "order_save", draft, [("IV250", "40")])
    assert "other orders still want 30" in text_of(packer.get(draft.get_absolute_url()))


def test_boxes_become_pairs(packer, draft, ivory):
    send(packer, "order_save", draft, [("IV250", "3b")])
    assert kept(draft) == [("IV250", 72)]


def test_a_row_not_understood_is_kept_with_the_nearest_candles(packer, draft, ivory):
    send(packer, "order_save", draft, [("IV250", "12"), ("ivery tapper", "24"), ("IV250", "6")])
    page = text_of(packer.get(draft.get_absolute_url()))
    assert kept(draft) == [("IV250", 12), ("IV250", 6)]
    assert "No candle of that name." in page
    assert 'value="1:IV250"' in page
    assert 'value="ivery tapper"' in page
    assert "1 row to look at" in page


def test_a_nearest_candle_mends_its_row_without_a_script(packer, draft, ivory):
    send(packer, "order_save", draft, [("ivery tapper", "24")])
    send(packer, "order_save", draft, [("ivery tapper", "24")], pick="0:IV250")
    draft.refresh_from_db()
    assert (kept(draft), draft.unread) == ([("IV250", 24)], [])


def test_a_row_is_struck_out(packer, draft, ivory):
    send(packer, "order_save", draft, [("IV250", "24"), ("purple", "1")], strike="1")
    draft.refresh_from_db()
    assert (kept(draft), draft.unread) == ([("IV250", 24)], [])


def test_more_rows_can_be_asked_for(packer, draft):
    response = send(packer, "order_save", draft, more="1")
    assert response.url.endswith("?rows=more")
    assert packer.get(response.url).content.count(b'name="code"') == 12
    assert packer.get(draft.get_absolute_url()).content.count(b'name="code"') == 4


def test_the_script_gets_the_page_itself_with_its_rows_in_place(packer, draft, ivory):
    response = send(packer, "order_save", draft, [("iv250", "24"), ("", ""), ("purple", "2")], live=True)
    page = text_of(response)
    assert response.status_code == 200
    assert 'id="r2-said"' in page
    assert 'name="version" id="version" value="2"' in page
    assert page.count('name="code"') == 5


def test_a_pasted_block_is_read_and_nothing_dropped(packer, draft, ivory, red):
    block = "Code\tQty\nIV250\t144\n24 x winter red\n2 boxes ivery\nTotal 180"
    response = send(packer, "order_paste", draft, [("RD250", "6")], paste=block)
    page = text_of(packer.get(response.url))
    assert kept(draft) == [("RD250", 6), ("IV250", 144), ("RD250", 24)]
    assert "2 rows read, 1 to look at" in page
    assert "Left out, line 1" in page
    assert "Left out, line 5: “Total 180”. A total." in page
    assert "It came as: “2 boxes ivery”" in page
    assert 'value="2 boxes"' in page
    draft.refresh_from_db()
    assert [row["line"] for row in draft.unread] == ["2 boxes ivery"]


def test_as_last_time_and_as_last_christmas_fill_the_rows(packer, draft, ivory, red):
    year = timezone.localdate().year - 1
    make_order(draft.shop, [(red, 5)], ship_by=date(year, 11, 3), placed_on=date(year, 10, 3), status="done")
    big = make_order(draft.shop, [(ivory, 90)], ship_by=date(year, 12, 3), placed_on=date(year, 11, 3), status="done")
    last = make_order(draft.shop, [(red, 7)], ship_by=date(year + 1, 2, 3), placed_on=date(year + 1, 1, 3))
    page = text_of(packer.get(draft.get_absolute_url()))
    assert f"order {big.number}, 90 pairs" in page
    response = send(packer, "order_fill", draft, [("IV250", "1")], fill="christmas")
    assert kept(draft) == [("IV250", 1), ("IV250", 90)]
    assert f"taken from order {big.number}" in text_of(packer.get(response.url))
    send(packer, "order_fill", draft, [], fill="last")
    assert kept(draft) == [("RD250", 7)]
    response = send(packer, "order_fill", draft, [("RD250", "7")], fill="last")
    assert kept(draft) == [("RD250", 7)]
    assert f"0 rows taken from order {last.number}" in text_of(packer.get(response.url))


def test_a_shop_without_an_earlier_order_has_nothing_to_fill_from(packer, draft):
    page = text_of(packer.get(draft.get_absolute_url()))
    assert "As last" not in page
    response = send(packer, "order_fill", draft, fill="last")
    assert "There is no earlier order" in text_of(packer.get(response.url))


# --- warnings


def test_what_stands_against_the_shop_is_said_and_does_not_stop_the_order(packer, draft, ivory):
    shop = draft.shop
    shop.on_stop, shop.stop_reason, shop.pro_forma_first = True, "two invoices late", True
    shop.credit_limit, shop.complete_only = Decimal("50"), True
    shop.save()
    make_order(shop, [(ivory, 10)])
    send(packer, "order_save", draft, [("IV250", "24")])
    page = text_of(packer.get(draft.get_absolute_url()))
    assert "is on stop: two invoices late" in page
    assert "They pay before we send" in page
    assert "They take complete deliveries only" in page
    assert "would stand at 74.80; their limit is 50.00" in page
    assert "not yet invoiced 22.00" in page
    assert send(packer, "order_confirm", draft, [("IV250", "24")]).url == reverse("order", args=[draft.number])
