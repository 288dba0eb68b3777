"""Order entry over HTTP: choosing the shop, the draft as a plain form, the form as the script sends it."""

import uuid
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from orders.domain.ordering import Row, confirm_order, save_draft, start_draft
from orders.models import Order
from orders.models.order import CANCELLED, CONFIRMED, DRAFT
from tests.factories import (
    make_candle,
    make_lot,
    make_order,
    make_person,
    make_shop,
    make_van_days,
    make_workshop,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def client(client_for):
    return client_for("packer")


@pytest.fixture
def ivory():
    return make_candle(code="IV250", name="Ivory taper 250 x 22", trade_price=Decimal("2.20"))


@pytest.fixture
def red():
    return make_candle(code="RD250", name="Winter red taper 250 x 22", trade_price=Decimal("2.40"))


@pytest.fixture
def draft(client):
    return start_draft(shop=make_shop(name="The Lamp Room"), submission=uuid.uuid4(), by=client.person)


def form_of(order: Order, rows=(), **fields) -> dict:
    """The form as the page holds it, with rows given as (code, pairs)."""
    order = Order.objects.get(pk=order.pk)
    return {
        "version": order.version,
        "reference": order.reference,
        "ship_by": f"{order.ship_by:%Y-%m-%d}" if order.ship_by else "",
        "deliver_to": order.deliver_to_id or "",
        "notes": order.notes,
        "code": [code for code, _ in rows] + [""],
        "pairs": [pairs for _, pairs in rows] + [""],
        "line": [""] * (len(rows) + 1),
        **fields,
    }


def send(client, name: str, order: Order, rows=(), live: bool = False, **fields):
    headers = {"X-Draft": "1"} if live else {}
    return client.post(reverse(name, args=[order.number]), form_of(order, rows, **fields), headers=headers)


def kept(order: Order) -> list[tuple[str, int]]:
    return [(line.candle.code, line.pairs) for line in order.lines.all()]


def queries_of(client, url: str) -> int:
    with CaptureQueriesContext(connection) as queries:
        assert client.get(url).status_code == 200
        return len(queries)


def text_of(response) -> str:
    return " ".join(response.content.decode().split())


# --- whose order


def test_a_shop_is_found_by_any_part_of_its_name_or_town(client):
    make_shop(name="The Lamp Room", town="Wexcombe")
    make_shop(name="Hearth and Reed", town="Orrin Bay")
    page = text_of(client.get(reverse("shop_find"), {"q": "lamp wex"}))
    assert "The Lamp Room" in page
    assert "Hearth and Reed" not in page
    assert "No shop of that name" in text_of(client.get(reverse("order_new"), {"q": "no such shop"}))


def test_choosing_a_shop_begins_a_draft_once(client):
    make_van_days(1)
    shop, submission = make_shop(), uuid.uuid4()
    first = client.post(reverse("order_new"), {"shop": shop.pk, "submission": submission})
    second = client.post(reverse("order_new"), {"shop": shop.pk, "submission": submission})
    order = Order.objects.get()
    assert first.url == second.url == reverse("order_entry", args=[order.number])
    assert order.ship_by.weekday() == 1
    assert timedelta(7) <= order.ship_by - timezone.localdate() < timedelta(14)


def test_drafts_begun_are_listed_with_the_same_queries_for_one_and_thirty(client, django_assert_num_queries):
    shop = make_shop()
    make_order(shop, status="draft")
    client.get(reverse("order_new"))
    one = queries_of(client, reverse("order_new"))
    for _ in range(29):
        make_order(make_shop(), status="draft")
    with django_assert_num_queries(one):
        page = client.get(reverse("order_new"), {"d-per_page": 30})
    assert b"Drafts begun" in page.content


# --- the draft's page


def test_the_draft_answers_beside_each_row(client, draft, ivory, red):
    make_lot(ivory, 100, code="R2417")
    make_workshop()
    send(client, "order_save", draft, [("iv250", "144"), ("winter red", "12")])
    page = text_of(client.get(draft.get_absolute_url()))
    assert kept(draft) == [("IV250", 144), ("RD250", 12)]
    assert "The Lamp Room, Orrin Bay: 156 pairs, all but 56 in stock." in page
    assert "100 free now: R2417" in page
    assert "44 open" in page
    assert "316.80" in page
    assert "Goods 345.60" in page
    assert "VAT 69.12" in page


def test_rows_of_one_candle_share_its_free_pairs(client, draft, ivory):
    make_lot(ivory, 50)
    send(client, "order_save", draft, [("IV250", "40"), ("IV250", "40")])
    page = text_of(client.get(draft.get_absolute_url()))
    assert "80 pairs, all but 30 in stock" in page
    assert "10 free now" in page
    assert "also in row 2" in page


def test_pairs_wanted_by_other_orders_are_said(client, draft, ivory):
    make_lot(ivory, 50)
    make_order(lines=[(ivory, 30)])
    send(client, "order_save", draft, [("IV250", "40")])
    assert "other orders still want 30" in text_of(client.get(draft.get_absolute_url()))


def test_boxes_become_pairs(client, draft, ivory):
    send(client, "order_save", draft, [("IV250", "3b")])
    assert kept(draft) == [("IV250", 72)]


def test_a_row_not_understood_is_kept_with_the_nearest_candles(client, draft, ivory):
    send(client, "order_save", draft, [("IV250", "12"), ("ivery tapper", "24"), ("IV250", "6")])
    page = text_of(client.get(draft.get_absolute_url()))
    assert kept(draft) == [("IV250", 12), ("IV250", 6)]
    assert "No candle of that name." in page
    assert 'value="1:IV250"' in page
    assert 'value="ivery tapper"' in page
    assert "1 row to look at" in page


def test_a_nearest_candle_mends_its_row_without_a_script(client, draft, ivory):
    send(client, "order_save", draft, [("ivery tapper", "24")])
    send(client, "order_save", draft, [("ivery tapper", "24")], pick="0:IV250")
    draft.refresh_from_db()
    assert (kept(draft), draft.unread) == ([("IV250", 24)], [])


def test_a_row_is_struck_out(client, draft, ivory):
    send(client, "order_save", draft, [("IV250", "24"), ("purple", "1")], strike="1")
    draft.refresh_from_db()
    assert (kept(draft), draft.unread) == ([("IV250", 24)], [])


def test_more_rows_can_be_asked_for(client, draft):
    response = send(client, "order_save", draft, more="1")
    assert response.url.endswith("?rows=more")
    assert client.get(response.url).content.count(b'name="code"') == 12
    assert client.get(draft.get_absolute_url()).content.count(b'name="code"') == 4


def test_the_script_gets_the_page_itself_with_its_rows_in_place(client, draft, ivory):
    response = send(client, "order_save", draft, [("iv250", "24"), ("", ""), ("purple", "2")], live=True)
    page = text_of(response)
    assert response.status_code == 200
    assert 'id="r2-said"' in page
    assert 'name="version" id="version" value="2"' in page
    assert page.count('name="code"') == 5


def test_a_pasted_block_is_read_and_nothing_dropped(client, draft, ivory, red):
    block = "Code\tQty\nIV250\t144\n24 x winter red\n2 boxes ivery\nTotal 180"
    response = send(client, "order_paste", draft, [("RD250", "6")], paste=block)
    page = text_of(client.get(response.url))
    assert kept(draft) == [("RD250", 6), ("IV250", 144), ("RD250", 24)]
    assert "2 rows read, 1 to look at" in page
    assert "Left out, line 1" in page
    assert "Left out, line 5: “Total 180”. A total." in page
    assert "Pasted: “2 boxes ivery”" in page
    assert 'value="2 boxes"' in page
    draft.refresh_from_db()
    assert [row["line"] for row in draft.unread] == ["2 boxes ivery"]


def test_as_last_time_and_as_last_christmas_fill_the_rows(client, draft, ivory, red):
    year = timezone.localdate().year - 1
    make_order(draft.shop, [(red, 5)], ship_by=date(year, 11, 3), placed_on=date(year, 10, 3), status="done")
    big = make_order(draft.shop, [(ivory, 90)], ship_by=date(year, 12, 3), placed_on=date(year, 11, 3), status="done")
    last = make_order(draft.shop, [(red, 7)], ship_by=date(year + 1, 2, 3), placed_on=date(year + 1, 1, 3))
    page = text_of(client.get(draft.get_absolute_url()))
    assert f"order {big.number}, 90 pairs" in page
    response = send(client, "order_fill", draft, [("IV250", "1")], fill="christmas")
    assert kept(draft) == [("IV250", 1), ("IV250", 90)]
    assert f"taken from order {big.number}" in text_of(client.get(response.url))
    send(client, "order_fill", draft, [], fill="last")
    assert kept(draft) == [("RD250", 7)]
    response = send(client, "order_fill", draft, [("RD250", "7")], fill="last")
    assert kept(draft) == [("RD250", 7)]
    assert f"0 rows taken from order {last.number}" in text_of(client.get(response.url))


def test_a_shop_without_an_earlier_order_has_nothing_to_fill_from(client, draft):
    page = text_of(client.get(draft.get_absolute_url()))
    assert "As last" not in page
    response = send(client, "order_fill", draft, fill="last")
    assert "There is no earlier order" in text_of(client.get(response.url))


# --- warnings


def test_what_stands_against_the_shop_is_said_and_does_not_stop_the_order(client, draft, ivory):
    shop = draft.shop
    shop.on_stop, shop.stop_reason, shop.pro_forma_first = True, "two invoices late", True
    shop.credit_limit, shop.complete_only = Decimal("50"), True
    shop.save()
    make_order(shop, [(ivory, 10)])
    send(client, "order_save", draft, [("IV250", "24")])
    page = text_of(client.get(draft.get_absolute_url()))
    assert "is on stop: two invoices late" in page
    assert "They pay before we send" in page
    assert "They take complete deliveries only" in page
    assert "would stand at 74.80; their limit is 50.00" in page
    assert "not yet invoiced 22.00" in page
    assert send(client, "order_confirm", draft, [("IV250", "24")]).url == reverse("order", args=[draft.number])


# --- confirming


def test_confirming_saves_what_is_typed_and_takes_the_order(client, draft, ivory):
    response = send(client, "order_confirm", draft, [("iv250", "24")], reference="XM-7", notes="ring first")
    draft.refresh_from_db()
    assert response.url == reverse("order", args=[draft.number])
    assert (draft.status, draft.reference, draft.notes, kept(draft)) == (
        CONFIRMED,
        "XM-7",
        "ring first",
        [("IV250", 24)],
    )


def test_the_same_form_confirmed_twice_is_one_order(client, draft, ivory):
    data = form_of(draft, [("IV250", "24")])
    url = reverse("order_confirm", args=[draft.number])
    first, second = client.post(url, data), client.post(url, data)
    assert first.url == second.url
    assert Order.objects.count() == 1
    assert Order.objects.get().version == 3


def test_a_page_from_before_the_confirmation_is_told_and_keeps_its_rows(client, draft, ivory):
    data = form_of(draft, [("IV250", "24")])
    confirm_order(
        order=save_draft(order=draft, version=1, header={}, rows=[Row(ivory, 6)], by=client.person),
        version=2,
        by=client.person,
    )
    for name in ("order_confirm", "order_save"):
        response = client.post(reverse(name, args=[draft.number]), data)
        page = text_of(response)
        assert response.status_code == 422
        assert "no longer a draft" in page
        assert 'name="pairs" id="r0-pairs" class="pairs num" value="24"' in page
    assert kept(draft) == [("IV250", 6)]


def test_a_taken_order_has_no_entry_page_any_more(client, ivory):
    order = make_order(lines=[(ivory, 3)])
    assert client.get(reverse("order_entry", args=[order.number])).url == reverse("order", args=[order.number])
    assert client.get(reverse("order_discard", args=[order.number])).url == reverse("order", args=[order.number])


def test_a_refused_confirmation_keeps_the_draft_and_says_all(client, draft, ivory):
    draft.shop.reference_required = True
    draft.shop.save()
    response = send(client, "order_confirm", draft, [("IV250", "24"), ("purple", "1")], ship_by="2020-01-01")
    page = text_of(response)
    assert response.status_code == 422
    assert "needs its own reference" in page
    assert "1 January 2020 is past" in page
    draft.refresh_from_db()
    assert (draft.status, kept(draft)) == (DRAFT, [("IV250", 24)])


def test_rows_not_understood_stop_the_confirmation(client, draft, ivory):
    response = send(client, "order_confirm", draft, [("IV250", "24"), ("purple", "1")])
    assert response.status_code == 422
    assert "One row is not understood yet" in text_of(response)


# --- two hands


@pytest.fixture
def crossed(client, draft, ivory, red):
    """A form made before Bob saved the same draft."""
    data = form_of(draft, [("IV250", "24"), ("RD250", "6")], reference="mine")
    bob = make_person("packer", full_name="Bob Tallow")
    rows = [Row(ivory, 24), Row(red, 9), Row(make_candle(code="NV250", name="Night blue taper"), 5)]
    save_draft(order=draft, version=1, header={"reference": "his"}, rows=rows, by=bob)
    return data


@pytest.mark.parametrize("live", [True, False])
def test_the_second_hand_is_told_and_sees_both(client, draft, crossed, live):
    headers = {"X-Draft": "1"} if live else {}
    response = client.post(reverse("order_save", args=[draft.number]), crossed, headers=headers)
    page = text_of(response)
    assert response.status_code == 422
    assert "Bob Tallow changed this draft while you were typing" in page
    assert "his" in page
    assert 'value="mine"' in page
    assert 'name="version" id="version" value="1"' in page
    assert kept(draft) == [("IV250", 24), ("RD250", 9), ("NV250", 5)]


def test_mine_is_kept_instead_only_knowingly(client, draft, crossed):
    assert client.post(reverse("order_save", args=[draft.number]), crossed).status_code == 422
    client.post(reverse("order_save", args=[draft.number]), {**crossed, "over": 2})
    assert kept(draft) == [("IV250", 24), ("RD250", 6)]


def test_both_hands_are_put_together_and_what_differs_is_asked(client, draft, crossed):
    client.post(reverse("order_save", args=[draft.number]), {**crossed, "merge": 2})
    draft.refresh_from_db()
    assert kept(draft) == [("IV250", 24), ("RD250", 6), ("NV250", 5)]
    assert [row["line"] for row in draft.unread] == ["RD250 9 (theirs)"]


# --- putting away


def test_a_draft_is_put_away_after_a_question(client, draft):
    url = reverse("order_discard", args=[draft.number])
    assert b"away?" in client.get(url).content
    assert client.post(url, {"version": 9}).status_code == 422
    assert client.post(url, {"version": 1}).url == reverse("order_new")
    assert client.post(url, {"version": 1}).url == reverse("order_new")
    draft.refresh_from_db()
    assert draft.status == CANCELLED


# --- the ladder

POSTED = ["order_save", "order_paste", "order_fill", "order_confirm"]


@pytest.mark.parametrize("name", POSTED)
def test_an_act_refuses_get(client, draft, name):
    assert client.get(reverse(name, args=[draft.number])).status_code == 405


@pytest.mark.parametrize("name", [*POSTED, "order_entry", "order_discard"])
def test_an_act_refuses_the_wrong_role_and_an_unknown_order(client, client_for, draft, name):
    method = "post" if name in POSTED else "get"
    assert getattr(client_for("dipper"), method)(reverse(name, args=[draft.number])).status_code == 403
    assert getattr(client, method)(reverse(name, args=[999999])).status_code == 404


@pytest.mark.parametrize("name", ["order_new", "shop_find"])
def test_the_dipper_takes_no_orders(client_for, name):
    assert client_for("dipper").get(reverse(name)).status_code == 403


def test_a_draft_of_forty_rows_asks_no_more_than_one_of_two(client, draft, django_assert_max_num_queries):
    candles = [make_candle() for _ in range(40)]
    for candle in candles:
        make_lot(candle, 10)
    send(client, "order_save", draft, [(candle.code, "5") for candle in candles[:2]])
    two = queries_of(client, draft.get_absolute_url())
    send(client, "order_save", draft, [(candle.code, "5") for candle in candles])
    with django_assert_max_num_queries(two):
        client.get(draft.get_absolute_url())
