"""Cover with the dip plan in it: what frames still to be hung are meant to give, wherever cover is shown."""

import csv
import io

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from orders.audit import cover as audit
from orders.cover import Cover
from orders.queries.book import entries, open_book
from orders.queries.today import short_candles
from orders.standing import due_day, due_sentence
from production.models import PlannedFrame
from tests.factories import make_candle, make_frame, make_shop
from tests.factories.planned import make_planned_frame, make_standing_plan
from tests.orders.grading import hang, want_of, wanted
from tests.orders.order_pages import now, page, text

pytestmark = pytest.mark.django_db


@pytest.fixture
def candle():
    return make_candle(code="IV250")


@pytest.fixture
def friday():
    return due_day(timezone.localdate())


def cover_of(order) -> Cover:
    return entries([now(order)])[order.pk].cover


def test_planned_pairs_fill_what_hangs_for_nobody(candle, friday):
    order = wanted((candle, 60), (make_candle(), 10), ship_by=friday)
    hang(candle, {order: 24})
    make_planned_frame(candle, {want_of(order): 30})
    assert cover_of(order) == Cover(on_floor=24, planned=30, open=16)
    assert [due.cover for due in open_book().dues] == [Cover(on_floor=24, planned=30, open=16)]
    assert not list(audit.breaches())


def test_a_plan_older_than_the_book_fills_no_more_than_is_open(candle, friday):
    order = wanted((candle, 60), ship_by=friday)
    make_planned_frame(candle, {want_of(order): 40})
    make_planned_frame(candle, {want_of(order): 40})
    assert cover_of(order) == Cover(planned=60)
    hang(candle, {order: 45})
    assert cover_of(order) == Cover(on_floor=45, planned=15)
    assert [due.cover for due in open_book().dues] == [Cover(on_floor=45, planned=15)]
    assert not list(audit.breaches())


def test_a_threaded_frame_a_plan_that_fell_and_another_candle_fill_nothing(candle, friday):
    order = wanted((candle, 60), ship_by=friday)
    threaded = make_planned_frame(candle, {want_of(order): 20})
    PlannedFrame.objects.filter(pk=threaded.pk).update(frame=make_frame(candle))
    make_planned_frame(make_candle(), {want_of(order): 20})
    make_planned_frame(candle, {want_of(order): 20}, plan=make_standing_plan(stands=False))
    assert cover_of(order) == Cover(open=60)


def test_orders_that_wait_on_the_plan_are_told_and_found(client_for, candle, friday):
    waits, planned = wanted((candle, 40), ship_by=friday), wanted((candle, 24), ship_by=friday)
    bare = wanted((make_candle(), 7), ship_by=friday)
    hang(candle, {waits: 40})
    make_planned_frame(candle, {want_of(planned): 24})
    assert due_sentence(open_book().dues, friday) == (
        f"None of 3 orders due by Friday {friday.day} {friday:%B} is covered; 1 waits on the floor, "
        "1 waits on the dip plan, 1 has nothing set aside."
    )
    words = [entries([now(order)])[order.pk].standing.in_words() for order in (waits, planned, bare)]
    assert words == ["40 on the floor", "24 planned", "nothing set aside yet"]
    client = client_for("packer")
    for asked, order in (("floor", waits), ("planned", planned), ("short", bare), ("nothing", bare)):
        rows = client.get("/orders/", {"cover": asked}).context["table"].rows
        assert [row.record.number for row in rows] == [order.number], asked


def test_the_sheet_and_the_sorting_count_planned_pairs(client_for, candle, friday):
    much, little = wanted((candle, 60), ship_by=friday), wanted((candle, 30), ship_by=friday)
    make_planned_frame(candle, {want_of(much): 45})
    client = client_for("packer")
    rows = client.get("/orders/", {"sort": "-cover"}).context["table"].rows
    assert [row.record.number for row in rows] == [little.number, much.number]
    sheet = csv.DictReader(io.StringIO(client.get("/orders.csv").content.decode("utf-8-sig")))
    assert {(row["Planned"], row["Open"]) for row in sheet} == {("45", "15"), ("0", "30")}


def test_an_orders_page_names_the_planned_frame_and_its_day(client_for, candle, friday):
    order = wanted((candle, 60), ship_by=friday)
    frame = make_planned_frame(candle, {want_of(order): 40})
    html = text(client_for("packer").get(page("order", order)))
    assert f"Order {order.number}: 20 of 60 pairs" in html
    assert "are open, 40 planned; ship by" in html
    assert "40 planned, 20 open" in html
    ready = frame.ready_on
    assert f"40 from planned frame {frame.number + 1}, to hang " in html
    assert f"ready {ready:%A} {ready.day} {ready:%b}" in html


def test_today_tells_planned_pairs_apart_from_open_ones(client_for, candle, friday):
    order = wanted((candle, 60), ship_by=friday)
    make_planned_frame(candle, {want_of(order): 40})
    short = short_candles(friday)[0]
    assert (short.hung, short.planned, short.open) == (0, 40, 20)
    assert "Planned" in text(client_for("packer").get("/"))


def test_thirty_planned_lines_ask_no_more_than_one(client_for, friday):
    client, asked, shop = client_for("owner"), [], make_shop()
    for lines in (1, 30):
        candles = [make_candle() for _ in range(lines)]
        order = wanted(*((candle, 40) for candle in candles), ship_by=friday, shop=shop)
        for place, candle in enumerate(candles, start=1):
            make_planned_frame(candle, {want_of(order, place): 24})
        with CaptureQueriesContext(connection) as queries:
            assert text(client.get(page("order", order))).count("24 from") == lines
        asked.append(len(queries))
    assert asked[0] == asked[1], asked
