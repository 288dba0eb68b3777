"""The packing bench's pages: what they say, who may, and what a second click does."""

from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from orders.bench import Going, bench_sentence
from orders.domain.packing import start_packing
from orders.domain.setting_aside import set_aside_order
from orders.models import Delivery, Paper
from orders.van_days import van_day_for, van_days_from
from tests.factories import make_order, make_shelf, make_shop, make_van_days
from tests.factories.bench import make_packed, make_ready_order
from tests.orders.deliveries import act, page, today

pytestmark = pytest.mark.django_db


# The bench


def test_the_bench_says_what_can_go_and_why_the_rest_cannot(packer):
    make_van_days(0, 1, 2, 3, 4, 5, 6)
    ship_by = today() + timedelta(days=2)
    make_ready_order(packer.person, ship_by=ship_by, shop=make_shop(pro_forma_first=True))
    make_ready_order(packer.person, ship_by=ship_by, shop=make_shop(on_stop=True, stop_reason="overdue since May"))
    make_ready_order(packer.person, lines=(9,), lots=[(5,)], ship_by=ship_by)
    html = page(packer, "packing_bench")
    assert "2 orders can be packed for" in html
    assert "35 pairs; 1 order cannot go yet." in html
    assert "is on stop: overdue since May" in html
    assert "pays before we send" in html
    assert "part delivery: 4 pairs still to come" in html
    # On stop: no way to pack it.
    assert html.count('/packing/"><input') == html.count('<button class="outline">Pack') == 2


def test_an_empty_bench_says_so(packer):
    assert "Nothing waits to be packed." in page(packer, "packing_bench")


def test_complete_only_stands_on_the_bench_with_what_is_missing(packer):
    order = make_ready_order(packer.person, lines=(9,), lots=[(5,)])
    order.complete_only = True
    order.save()
    assert "takes complete deliveries only, and 4 pairs of order" in page(packer, "packing_bench")


def test_what_waits_for_the_van_shows_its_weight_and_its_papers(packer):
    delivery = make_packed(packer.person)
    html = page(packer, "packing_bench")
    assert "DN-1001" in html
    assert delivery.note.content["gross_kg"] in html
    assert reverse("day_papers", args=[delivery.van_day.isoformat()]) in html


@pytest.mark.parametrize("make", [make_ready_order, make_packed])
def test_the_bench_asks_as_much_for_thirty_rows_as_for_one(packer, make):
    counts = []
    for more in (1, 29):
        for _ in range(more):
            make(packer.person, lines=(2,))
        with CaptureQueriesContext(connection) as counted:
            page(packer, "packing_bench")
        counts.append(len(counted))
    assert counts[0] == counts[1]


def test_the_first_sentence():
    day = today() + timedelta(days=1)
    rows = [Going(day, 30, True), Going(day + timedelta(days=5), 12, True), Going(day, 9, False)]
    said = bench_sentence(rows, today())
    assert said.startswith("1 order can be packed for ")
    assert said.endswith(", 30 pairs; 1 more for later vans; 1 order cannot go yet.")
    assert bench_sentence([Going(today(), 1, True)], today()) == "1 order can be packed for today, 1 pair."
    assert bench_sentence([Going(day, 9, False)] * 2, today()) == "Nothing can be packed: 2 orders cannot go yet."


def test_van_days():
    wednesday = date(2026, 11, 25)
    assert van_days_from(wednesday, [1, 3], 3) == [date(2026, 11, 26), date(2026, 12, 1), date(2026, 12, 3)]
    assert van_day_for(date(2026, 12, 4), wednesday, [1, 3]) == date(2026, 12, 3)
    assert van_day_for(date(2026, 11, 25), wednesday, [1, 3]) == date(2026, 11, 26)
    assert van_day_for(date(2026, 1, 1), wednesday, [1, 3]) == date(2026, 11, 26)
    # No van days of one's own: any working day.
    assert van_day_for(date(2026, 11, 29), wednesday, []) == date(2026, 11, 27)


# The pick list


def test_the_pick_list_walks_the_shelves_and_says_for_whom(packer):
    first, last = make_shelf(code="A1", walk=1), make_shelf(code="Z9", walk=9)
    order = make_ready_order(packer.person, lines=(30, 12))
    lots = [line.promises.get().lot for line in order.lines.all()]
    for lot, shelf in zip(lots, (last, first), strict=True):
        lot.shelf = shelf
        lot.save()
    html = page(packer, "pick_list", query=f"?order={order.number}")
    assert "42 pairs to fetch from 2 shelves" in html
    assert html.index(lots[1].code) < html.index(lots[0].code)
    assert '<svg class="pair"' in html
    pdf = packer.get(reverse("pick_list_pdf") + f"?order={order.number}")
    assert pdf["Content-Type"] == "application/pdf"
    assert pdf.content.startswith(b"%PDF")


def test_pairs_of_one_lot_are_one_stop_for_several_orders(packer):
    order = make_ready_order(packer.person, lines=(30,), lots=[(50,)])
    other = make_order(order.shop, lines=[(order.lines.get().candle, 8)], by=packer.person)
    set_aside_order(order=other, by=packer.person)
    html = page(packer, "pick_list", query=f"?van={(today() + timedelta(days=60)).isoformat()}")
    assert "38 pairs to fetch from 1 shelf" in html
    assert f">{order.number}</a>: 30" in html
    assert f">{other.number}</a>: 8" in html


@pytest.mark.parametrize(
    "query", ["?order=x", "?order=999999", "?order=99999999999999", "?van=soon", "?van=", "?order=%00"]
)
def test_a_pick_list_of_nothing_known_is_not_found(packer, query):
    page(packer, "pick_list", query=query, status=404)


def test_the_pick_list_asks_as_much_for_thirty_lots_as_for_one(packer):
    counts = []
    for lines in ((2,), (2,) * 30):
        order = make_ready_order(packer.person, lines=lines)
        with CaptureQueriesContext(connection) as counted:
            page(packer, "pick_list", query=f"?order={order.number}")
        counts.append(len(counted))
    assert counts[0] == counts[1]


# The ladder

ACTS = ["close_boxes", "unpack", "van_left", "box_move"]


@pytest.mark.parametrize("name", ACTS)
def test_acts_refuse_get_strangers_and_unknown_deliveries(packer, client_for, name):
    delivery = start_packing(order=make_ready_order(packer.person), by=packer.person)
    url = reverse(name, args=[delivery.pk])
    assert packer.get(url).status_code == 405
    for role in ("dipper", "bookkeeper"):
        assert client_for(role).post(url, {"version": 1}).status_code == 403
    assert client_for("owner").post(reverse(name, args=[10**9])).status_code == 404
    delivery.refresh_from_db()
    assert (delivery.state, delivery.version) == ("packing", 1)


def test_starting_and_the_whole_van_refuse_get_and_strangers(packer, client_for):
    order = make_ready_order(packer.person)
    for url in (reverse("start_packing", args=[order.number]), reverse("van_day_left", args=["2026-12-04"])):
        assert packer.get(url).status_code == 405
        assert client_for("bookkeeper").post(url).status_code == 403
    assert act(packer, "start_packing", 10**8).status_code == 404


def test_every_act_twice_is_once(packer):
    order = make_ready_order(packer.person, lines=(30,))
    for _ in range(2):
        assert act(packer, "start_packing", order.number).status_code == 302
    pk = Delivery.objects.get().pk
    for name, data in (("close_boxes", {"version": 1}), ("van_left", {"version": 2, "on": today().isoformat()})):
        for _ in range(2):
            assert act(packer, name, pk, **data).status_code == 302
    assert Paper.objects.filter(kind="delivery note").count() == 1
    assert Delivery.objects.get().lines.get().movement.pairs == -30


@pytest.mark.parametrize("role", ["dipper", "bookkeeper"])
def test_the_bench_belongs_to_the_packer(client_for, role):
    for name in ("packing_bench", "pick_list", "pick_list_pdf"):
        assert client_for(role).get(reverse(name)).status_code == 403


def test_the_bookkeeper_sees_a_delivery_but_changes_nothing(client_for, packer):
    delivery = make_packed(packer.person)
    html = page(client_for("bookkeeper"), "delivery", delivery.pk)
    assert "DN-1001" in html
    assert "The van has left" not in html
