"""Today: the first sentence, the page for each role, and its queries."""

from datetime import date, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone
from django.utils.html import strip_tags

from orders.cover import Cover
from orders.standing import Standing
from orders.today import Leaving, today_sentence
from production.queries.shortfalls import shortfalls
from tests.factories import make_candle, make_frame, make_lot, make_order, make_person, make_shop
from tests.orders.grading import grade, hang, want_of, wanted

DAY = date(2026, 12, 1)


def leaving(days: int = 0, **facts) -> Leaving:
    facts = {"status": "confirmed", "cover": Cover(set_aside=24), **facts}
    return Leaving(DAY + timedelta(days=days), Standing(**facts))


@pytest.mark.parametrize(
    ("orders", "sentence"),
    [
        ([], "Nothing has to leave today."),
        ([leaving(1)], "Nothing has to leave today."),
        ([leaving()], "1 order should leave today: 1 is ready to pack."),
        ([leaving(-1)], "1 order should leave today and is overdue: 1 is ready to pack."),
        (
            [leaving(), leaving(-2, packed_for=DAY), leaving(cover=Cover(set_aside=2, open=24))],
            "3 orders should leave today, 1 of them overdue: 1 is packed, 1 is ready to pack, 1 is short by 24 pairs.",
        ),
        ([leaving(on_stop=True), leaving(on_stop=True)], "2 orders should leave today: 2 wait on a stop."),
        ([leaving(cover=Cover(open=1))], "1 order should leave today: 1 is short by 1 pair."),
        ([leaving(being_packed=True)], "1 order should leave today: 1 is on the bench."),
        ([leaving(cover=Cover(set_aside=2, on_floor=9))], "1 order should leave today: 1 waits on the floor."),
    ],
)
def test_the_sentence_counts_each_order_once(orders, sentence):
    assert today_sentence(orders, DAY) == sentence


@pytest.mark.django_db
def test_page_names_what_the_due_orders_lack(client_for):
    candle = make_candle(name="Moss dinner 180 x 20")
    make_order(lines=[(candle, 36)], ship_by=timezone.localdate())
    make_order(lines=[(candle, 500)], ship_by=timezone.localdate() + timedelta(days=40))
    make_lot(candle, 7)
    page = client_for("owner").get(reverse("today")).content.decode()
    assert "1 order should leave today: 1 is short by 36 pairs." in page
    assert "Moss dinner 180 x 20" in page
    assert "500" not in strip_tags(page.partition("<main")[2])


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("role", "sees", "not_sees"),
    [
        ("packer", "packing", "ledger"),
        ("bookkeeper", "ledger", "packing"),
        ("dipper", "dip-list", "ledger"),
    ],
)
def test_each_role_is_led_to_its_own_places(client_for, role, sees, not_sees):
    make_order(ship_by=timezone.localdate())
    page = client_for(role).get(reverse("today")).content.decode()
    assert f'href="/{sees}' in page
    assert f'href="/{not_sees}' not in page


@pytest.mark.django_db
def test_page_refuses_post_and_asks_for_sign_in(client, client_for):
    assert client_for("owner").post(reverse("today")).status_code == 405
    assert client.get(reverse("today")).status_code == 302


@pytest.mark.django_db
def test_page_costs_the_same_queries_with_one_order_and_with_thirty(client_for, django_assert_num_queries):
    client, by, shop = client_for("owner"), make_person(), make_shop()
    make_order(shop, by=by, ship_by=timezone.localdate())
    client.get(reverse("today"))
    with django_assert_num_queries(27):
        client.get(reverse("today"))
    for _ in range(29):
        make_order(shop, by=by, lines=[(make_candle(), 3)], ship_by=timezone.localdate())
    with django_assert_num_queries(27):
        client.get(reverse("today"))


@pytest.mark.django_db
def test_frames_that_fell_short_are_shown_until_something_hangs_again(client_for):
    candle = make_candle(name="Moss dinner")
    order = wanted((candle, 40), ship_by=timezone.localdate())
    frame = hang(candle, {order: 40}, code="F7")
    client = client_for("owner")
    assert "1 frame is hard and can be graded" in client.get(reverse("today")).content.decode()
    grade(frame, 30, 18)
    page = client.get(reverse("today")).content.decode()
    assert "Frames that fell short" in page
    assert "No frame waits to be graded." in page
    [row] = shortfalls()
    assert (row.frame, row.short, row.open, row.for_whom) == (frame, 10, 10, str(order.shop))
    make_frame(candle, wants={want_of(order): 7})
    assert [row.open for row in shortfalls()] == [3]
    make_frame(candle, wants={want_of(order): 3})
    assert not shortfalls()
    assert "Frames that fell short" not in client.get(reverse("today")).content.decode()


@pytest.mark.django_db
def test_what_the_due_orders_lack_tells_what_hangs_already(client_for):
    candle = make_candle()
    hang(candle, {wanted((candle, 40), ship_by=timezone.localdate()): 24})
    client = client_for("dipper")
    page = client.get(reverse("today"))
    [short] = page.context["short"].data.data
    assert (short.hung, short.open) == (24, 16)
    assert "Grade what is hard: 1 frame" in page.content.decode()
