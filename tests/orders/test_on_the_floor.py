"""Cover with frames in it: the order book, an order's page, order entry and Today."""

import csv
import io
from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from orders.cover import Cover
from orders.domain.changing import change_pairs
from orders.domain.ordering import confirm_order
from orders.domain.setting_aside import set_aside_order
from orders.queries.book import entries, open_book
from orders.standing import due_day, due_sentence
from production.models import Frame, HungFor
from tests.factories import make_candle, make_frame, make_hours, make_lot, make_person, make_run, make_shop
from tests.orders.grading import hang, want_of, wanted
from tests.orders.order_pages import now, page, text
from tests.recount import recount

pytestmark = pytest.mark.django_db
BOOK = "/orders/"


@pytest.fixture
def candle():
    return make_candle(code="IV250")


@pytest.fixture
def friday():
    return due_day(timezone.localdate())


def cover_of(order) -> Cover:
    return entries([now(order)])[order.pk].cover


def test_what_hangs_is_cover_and_what_does_not_is_open(candle, friday):
    order = wanted((candle, 60), (make_candle(), 10), ship_by=friday)
    hang(candle, {order: 24})
    assert cover_of(order) == Cover(on_floor=24, open=46)
    make_lot(candle, 50)
    set_aside_order(order=order, by=make_person())
    # 10 of the 60 are missing now, so 10 of the 24 still hang for them.
    assert cover_of(order) == Cover(set_aside=50, on_floor=10, open=10)
    assert HungFor.objects.get().pairs == Frame.objects.get().hung_for == 10
    recount()


def test_fewer_pairs_and_an_order_called_off_let_the_frame_go(candle, friday):
    order = wanted((candle, 60), ship_by=friday)
    frame = hang(candle, {order: 40})
    change_pairs(line=order.lines.get(), pairs=30, version=1, by=make_person())
    frame.refresh_from_db()
    assert (frame.hung_for, cover_of(order)) == (30, Cover(on_floor=30))


def test_the_first_sentence_counts_orders_that_wait_on_the_floor(candle, friday):
    covered, waits = wanted((candle, 24), ship_by=friday), wanted((candle, 40), ship_by=friday)
    short, bare = wanted((candle, 30), ship_by=friday), wanted((make_candle(), 7), ship_by=friday)
    make_lot(candle, 24)
    set_aside_order(order=covered, by=make_person())
    hang(candle, {waits: 40}), hang(candle, {short: 6})
    assert due_sentence(open_book().dues, friday) == (
        f"1 of 4 orders due by Friday {friday.day} {friday:%B} is covered; 1 waits on the floor, "
        "1 has nothing set aside, 1 is short by 24 pairs."
    )
    words = {order.pk: entries([now(order)])[order.pk].standing.in_words() for order in (waits, short, bare)}
    assert list(words.values()) == ["40 on the floor", "6 on the floor; 24 short of IV250", "nothing set aside yet"]


@pytest.mark.parametrize(
    ("asked", "found"),
    [("floor", {"waits"}), ("short", {"short", "bare"}), ("nothing", {"bare"}), ("covered", {"covered"})],
)
def test_the_book_is_narrowed_by_the_floor(client_for, candle, friday, asked, found):
    orders = {name: wanted((candle, 24), ship_by=friday) for name in ("covered", "waits", "short", "bare")}
    make_lot(candle, 24)
    set_aside_order(order=orders["covered"], by=make_person())
    hang(candle, {orders["waits"]: 24}), hang(candle, {orders["short"]: 6})
    rows = client_for("packer").get(BOOK, {"cover": asked}).context["table"].rows
    assert {row.record.number for row in rows} == {orders[name].number for name in found}


def test_the_book_sorts_by_what_is_open_and_its_sheet_tells_what_hangs(client_for, candle, friday):
    much, little = wanted((candle, 60), ship_by=friday), wanted((candle, 30), ship_by=friday)
    hang(candle, {much: 45})
    client = client_for("packer")
    rows = list(client.get(BOOK, {"sort": "-cover"}).context["table"].rows)
    assert [row.record.number for row in rows] == [little.number, much.number]
    sheet = csv.DictReader(io.StringIO(client.get("/orders.csv").content.decode("utf-8-sig")))
    assert {(row["On the floor"], row["Open"]) for row in sheet} == {("45", "15"), ("0", "30")}


def test_an_orders_page_names_the_frame_and_when_it_is_ready(client_for, candle, friday):
    make_hours()
    order = wanted((candle, 60), ship_by=friday)
    frame = make_frame(candle, state="hanging", wants={want_of(order): 40}, dips=30, stage_dips=30, code="F7")
    make_run(frame.carousel, frames=[frame])
    html = text(client_for("packer").get(page("order", order)))
    assert f"Order {order.number}: 20 of 60 pairs" in html
    assert "are open, 40 on the floor" in html
    assert f'40 from frame <a href="{frame.get_absolute_url()}">F7</a>, 3 dips left, ready about ' in html


def test_an_order_wholly_on_the_floor_says_so(client_for, candle, friday):
    order = wanted((candle, 24), ship_by=friday)
    hang(candle, {order: 24})
    html = text(client_for("packer").get(page("order", order)))
    assert f"Order {order.number}: 24 of 24 pairs" in html
    assert "are on the floor; ship by" in html
    assert "Set aside what is free" not in html


def test_many_lines_on_the_floor_ask_no_more_than_one(client_for, friday):
    client, asked, shop = client_for("owner"), [], make_shop()
    for lines in (1, 20):
        candles = [make_candle() for _ in range(lines)]
        order = wanted(*((candle, 40) for candle in candles), ship_by=friday, shop=shop)
        for place, candle in enumerate(candles, start=1):
            make_frame(candle, wants={want_of(order, place): 24})
        address = page("order", order)
        with CaptureQueriesContext(connection) as queries:
            assert text(client.get(address)).count("24 from frame") == lines
        asked.append(len(queries))
    assert asked[0] == asked[1] <= 21, asked


def test_a_confirmed_order_takes_what_hangs_for_the_shelf(client_for, candle):
    frame = make_frame(candle, expected=43, code="F9")
    client = client_for("packer")
    order = _draft(client.person, candle, 60)
    html = text(client.get(reverse("order_entry", args=[order.number])))
    assert "43 from frame F9" in html
    assert "60 pairs, none of them in stock, 43 on the floor" in html
    assert "<strong>17 open</strong>" in html
    confirm_order(order=order, version=now(order).version, by=client.person)
    frame.refresh_from_db()
    assert frame.hung_for == 43
    assert cover_of(order) == Cover(on_floor=43, open=17)
    recount()


def test_a_seconds_order_counts_on_no_frame(client_for, candle):
    make_frame(candle, expected=43)
    client = client_for("packer")
    order = _draft(client.person, candle, 6, grade="seconds")
    assert "from frame" not in text(client.get(reverse("order_entry", args=[order.number])))


def _draft(by, candle, pairs: int, **fields):
    import uuid

    from orders.domain.ordering import Row, save_draft, start_draft

    order = start_draft(shop=make_shop(), submission=uuid.uuid4(), by=by, **fields)
    ship_by = timezone.localdate() + timedelta(days=9)
    return save_draft(
        order=order, version=order.version, header={"ship_by": ship_by}, rows=[Row(candle, pairs)], by=by
    )
