"""The order book's page: its sentence, what it can be narrowed to, its sheet, and setting aside from it."""

import csv
import io
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from orders.domain.releasing import mark_packed
from orders.domain.setting_aside import set_aside_order
from orders.models import Delivery, Order, SetAside
from orders.standing import due_day
from tests.factories import make_candle, make_lot, make_order, make_person, make_shop
from tests.recount import recount

pytestmark = pytest.mark.django_db
BOOK, CSV, SET_ASIDE, WAYS = "/orders/", "/orders.csv", "/orders/set-aside/", "/orders/set-aside/ways/"


def numbers(response) -> set[int]:
    return {row.record.number for row in response.context["table"].rows}


@pytest.fixture
def book():
    """Four open orders: covered, short, bare, and covered with all its pairs in a box."""
    candle, other, by = make_candle(name="Moss taper"), make_candle(name="Plum stub"), make_person()
    make_lot(candle, 48 + 12), make_lot(other, 10)
    friday = due_day(timezone.localdate())
    covered = make_order(lines=[(candle, 48)], ship_by=friday, shop=make_shop(name="The Lamp Room"))
    short = make_order(lines=[(candle, 36)], ship_by=friday + timedelta(days=1))
    bare = make_order(lines=[(other, 24)], ship_by=friday + timedelta(days=9))
    packed = make_order(lines=[(other, 10)], ship_by=friday)
    for order in (covered, short, packed):
        set_aside_order(order=order, by=by)
    mark_packed([(SetAside.objects.get(line__order=packed), 10)])
    Delivery.objects.create(order=packed, van_day=friday, started_at=timezone.now(), started_by=by)
    return {"covered": covered, "short": short, "bare": bare, "packed": packed, "friday": friday}


def test_the_book_answers_in_its_first_line(client_for, book):
    response = client_for("packer").get(BOOK)
    html = response.content.decode()
    assert f"All 2 orders due by Friday {book['friday'].day} {book['friday']:%B} are covered." in html
    assert "4 open orders, 118 pairs" in html
    assert "ready to pack" in html
    assert "24 short of" in html
    assert "nothing set aside yet" in html
    assert "being packed" in html
    assert html.count('class="solid"') == 1


def test_orders_past_their_day_are_counted(client_for):
    make_order(ship_by=timezone.localdate() - timedelta(days=1))
    assert "1 is past its day" in client_for().get(BOOK).content.decode()


def test_an_empty_book(client_for):
    html = client_for().get(BOOK).content.decode()
    assert "No order is due by" in html
    assert "No order fits" in html


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ({}, {"covered", "short", "bare", "packed"}),
        ({"cover": "covered"}, {"covered", "packed"}),
        ({"cover": "short"}, {"short", "bare"}),
        ({"cover": "nothing"}, {"bare"}),
        ({"cover": "ready"}, {"covered"}),
        ({"candle": "moss"}, {"covered", "short"}),
        ({"candle": "moss", "cover": "short"}, {"short"}),
        ({"candle": "no such candle"}, set()),
        ({"status": "done"}, set()),
        ({"status": "every"}, {"covered", "short", "bare", "packed"}),
    ],
)
def test_the_book_is_narrowed(client_for, book, asked, found):
    response = client_for("packer").get(BOOK, asked)
    assert numbers(response) == {book[name].number for name in found}


def test_the_book_is_narrowed_by_shop_and_day(client_for, book):
    client = client_for("bookkeeper")
    assert numbers(client.get(BOOK, {"shop": book["covered"].shop_id})) == {book["covered"].number}
    assert numbers(client.get(BOOK, {"until": book["friday"]})) == {book["covered"].number, book["packed"].number}
    assert numbers(client.get(BOOK, {"since": book["friday"] + timedelta(days=2)})) == {book["bare"].number}


def test_states_other_than_open_are_found(client_for, book):
    draft = make_order(status="draft", ship_by=None)
    client = client_for("packer")
    response = client.get(BOOK, {"status": "draft"})
    assert numbers(response) == {draft.number}
    assert reverse("order_entry", args=[draft.number]) in response.content.decode()
    assert draft.number in numbers(client.get(BOOK, {"status": "every"}))
    assert "1 draft" in client.get(BOOK).content.decode()


@pytest.mark.parametrize(
    "asked",
    [
        {"shop": "zz"},
        {"shop": 10**30},
        {"until": "yesterday"},
        {"cover": "mouldy"},
        {"candle": "a\x00b"},
        {"candle": "x" * 500},
        {"status": "lost"},
        {"sort": "no-such-column"},
        {"page": "minus one"},
    ],
)
def test_nonsense_in_the_address_does_no_harm(client_for, book, asked):
    assert client_for().get(BOOK, asked).status_code == 200
    assert client_for().get(CSV, asked).status_code == 200


@pytest.mark.parametrize(
    ("sort", "first"), [("pairs", "packed"), ("-pairs", "covered"), ("-cover", "bare"), ("-ship_by", "bare")]
)
def test_the_book_is_sorted(client_for, book, sort, first):
    rows = list(client_for().get(BOOK, {"sort": sort}).context["table"].rows)
    # Equal open pairs: the older order stands first.
    assert rows[0].record.number == (book["short"].number if sort == "-cover" else book[first].number)


def test_a_long_book_asks_no_more_than_a_short_one(client_for, django_assert_num_queries):
    candle, client = make_candle(), client_for("packer")
    make_lot(candle, 100)
    counts = []
    for more in (1, 29):
        for _ in range(more):
            set_aside_order(order=make_order(lines=[(candle, 6), (make_candle(), 3)]), by=client.person)
        with django_assert_num_queries(13) as queries:
            assert len(numbers(client.get(BOOK, {"candle": "ivory"}))) == more + (more > 1)
        counts.append(len(queries))
    assert counts[0] == counts[1]


def test_the_book_is_a_place_of_its_people(client_for):
    for url in (BOOK, CSV):
        assert client_for("dipper").get(url).status_code == 403
        assert client_for("bookkeeper").get(url).status_code == 200
        assert client_for("packer").post(url).status_code == 405


def sheet(response) -> list[dict]:
    return list(csv.DictReader(io.StringIO(response.content.decode("utf-8-sig"))))


def test_the_sheet_holds_the_narrowed_book(client_for, book):
    rows = sheet(client_for("packer").get(CSV, {"cover": "short", "sort": "number"}))
    assert [int(row["Order"]) for row in rows] == [book["short"].number, book["bare"].number]
    short = rows[0]
    assert [short[part] for part in ("Pairs", "Sent", "Set aside", "Open")] == ["36", "0", "12", "24"]
    assert short["Ship by"] == str(book["short"].ship_by)
    assert short["Stands"].startswith("24 short of")


@pytest.mark.parametrize("name", ["=1+1", "+44", "-2", "@SUM(A1)"])
def test_a_name_cannot_become_a_formula(client_for, name):
    make_order(shop=make_shop(name=name), reference=name)
    row = sheet(client_for().get(CSV))[0]
    assert (row["Shop"], row["Their reference"]) == (f"'{name}", f"'{name}")


def test_the_whole_book_is_set_aside(client_for):
    candle, client = make_candle(), client_for("packer")
    make_lot(candle, 30)
    one, two = make_order(lines=[(candle, 24)]), make_order(lines=[(candle, 24)])
    response = client.post(SET_ASIDE, follow=True)
    assert "30 pairs set aside; 18 stay open." in response.content.decode()
    assert (one.lines.get().set_aside, two.lines.get().set_aside) == (24, 6)
    promises = list(SetAside.objects.values())
    assert client.post(SET_ASIDE).status_code == 302
    assert list(SetAside.objects.values()) == promises
    recount()


def test_setting_aside_is_a_post_by_a_packer(client_for):
    for url in (SET_ASIDE, WAYS):
        assert client_for("bookkeeper").post(url).status_code == 403
        assert client_for("dipper").post(url).status_code == 403
    assert client_for("packer").get(SET_ASIDE).status_code == 405
    assert 'action="/orders/set-aside/"' not in client_for("bookkeeper").get(BOOK).content.decode()


@pytest.fixture
def short_stock():
    """The rule completes the first order alone; the other two could be completed in its stead."""
    candle, first_day = make_candle(), timezone.localdate() + timedelta(days=3)
    make_lot(candle, 30)
    big = make_order(lines=[(candle, 30)], ship_by=first_day)
    small = [make_order(lines=[(candle, 15)], ship_by=first_day + timedelta(days=1)) for _ in range(2)]
    return big, small


def facts_of(response) -> str:
    return response.context["ways"].facts


def test_where_stock_is_short_both_ways_are_shown_first(client_for, short_stock):
    big, small = short_stock
    response = client_for("packer").post(SET_ASIDE, follow=True)
    html = response.content.decode()
    assert "The rule completes 1 of 3 orders with open pairs; another way completes 2." in html
    assert not SetAside.objects.exists()
    rows = {row["number"]: (row["rule"], row["most"]) for row in response.context["table"].data.data}
    assert rows == {
        big.number: ("complete", "nothing"),
        small[0].number: ("nothing", "complete"),
        small[1].number: ("nothing", "complete"),
    }


@pytest.mark.parametrize(("way", "complete"), [("rule", 1), ("most", 2)])
def test_either_way_can_be_chosen(client_for, short_stock, way, complete):
    client = client_for("packer")
    chosen = {"way": way, "facts": facts_of(client.get(WAYS))}
    assert client.post(WAYS, chosen).status_code == 302
    covered = [
        order for order in Order.objects.all() if all(line.pairs == line.set_aside for line in order.lines.all())
    ]
    assert len(covered) == complete
    recount()
    again = client.post(WAYS, chosen)
    assert again.status_code == 422
    assert "changed while you were looking" in again.content.decode()


def test_a_way_of_yesterdays_facts_is_refused_with_fresh_ones(client_for, short_stock):
    client = client_for("packer")
    old = facts_of(client.get(WAYS))
    set_aside_order(order=short_stock[1][0], by=client.person)
    response = client.post(WAYS, {"way": "most", "facts": old})
    assert response.status_code == 422
    assert facts_of(response) != old
    assert SetAside.objects.count() == 1
    assert client.post(WAYS, {"way": "rule", "facts": facts_of(response)}).status_code == 302


@pytest.mark.parametrize("sent", [{}, {"way": "most"}, {"way": "mine", "facts": "f" * 64}, {"facts": "\x00"}])
def test_no_way_or_another_is_refused(client_for, short_stock, sent):
    assert client_for("packer").post(WAYS, sent).status_code == 422
    assert not SetAside.objects.exists()


def test_with_nothing_open_there_is_nothing_to_choose(client_for):
    response = client_for("packer").get(WAYS)
    assert "Nothing is open" in response.content.decode()
