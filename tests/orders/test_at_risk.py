"""Promises at risk and what would save them: on a small floor with a plan that stands."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from orders.domain.promising import promise_date
from orders.domain.setting_aside import set_aside_order
from orders.queries.at_risk import at_risk, ways_to_save_order
from orders.queries.ready_by import ready_by_order
from orders.ready_words import later_words, saving_words
from production.dip_plan.save import Later, Way
from tests.factories import make_lot, make_person, make_shop
from tests.factories.planned import make_planned_frame
from tests.orders.grading import hang, want_of, wanted
from tests.orders.order_pages import now, text
from tests.production.plan_floor import make_plan_floor
from tests.production.standing_plan import let_a_plan_stand

pytestmark = pytest.mark.django_db
TODAY = timezone.localdate()


def day(ahead: int):
    return TODAY + timedelta(days=ahead)


@pytest.fixture
def floor():
    return make_plan_floor(wants=False)


def promised(candle, pairs: int, ahead: int, **fields):
    order = now(wanted((candle, pairs), ship_by=day(ahead), **fields))
    promise_date(order=order, day=day(ahead), by=make_person())
    return now(order)


def risks():
    return [(row.order.number, row.ready, row.why) for row in at_risk(TODAY)]


def test_a_promise_is_at_risk_where_pairs_are_nowhere_or_come_too_late(floor):
    nowhere, late = promised(floor.taper, 24, 3), promised(floor.taper, 24, 4)
    hung, safe = promised(floor.dinner, 24, 5), promised(floor.dinner, 24, 6)
    frame = make_planned_frame(floor.taper, {want_of(late): 24}, ready_on=day(6), number=7)
    hardens = hang(floor.dinner, {hung: 24}, hard_at=timezone.now() + timedelta(days=9))
    make_planned_frame(floor.dinner, {want_of(safe): 24}, ready_on=day(6), number=8)
    told = {number: (ready, why) for number, ready, why in risks()}
    assert set(told) == {nowhere.number, late.number, hung.number}
    assert told[nowhere.number] == (None, f"24 pairs of {floor.taper.code} neither lie, hang nor are planned")
    assert told[late.number][0] == frame.ready_on
    assert "comes with planned frame 8" in told[late.number][1]
    assert f"frame {hardens}" in told[hung.number][1]


def test_what_lies_free_is_counted_once_and_what_is_set_aside_is_safe(floor):
    first, second = promised(floor.taper, 24, 3), promised(floor.taper, 24, 4)
    make_lot(floor.taper, 24)
    assert [number for number, _, _ in risks()] == [second.number]
    make_lot(floor.taper, 24)
    assert not risks(), first


def test_no_promise_no_risk(floor):
    wanted((floor.taper, 24), ship_by=day(1))
    assert not risks()


def test_what_would_save_it_is_simulated_on_the_plan_that_stands(floor):
    order = promised(floor.taper, 48, 9, shop=make_shop(name="Ossel Gifts"))
    promise = order.promised_dates.get()
    assert ways_to_save_order(promise) is None
    let_a_plan_stand(make_person(), now=timezone.now())
    ways = ways_to_save_order(promise)
    assert [way.words for way in ways] == ["plan again: the colours as they stand bring it in time"]
    # Nobody can dip, harden and send by tomorrow: several ways are tried, and none is claimed to do it.
    promise_date(order=order, day=day(0), version=order.version, by=make_person())
    ways = ways_to_save_order(order.promised_dates.first())
    assert len(ways) >= 2
    assert not any(way.saves for way in ways)


def test_pairs_set_aside_for_somebody_else_could_be_taken_over(floor):
    giver = now(wanted((floor.taper, 24), ship_by=day(20), shop=make_shop(name="The Lamp Room")))
    make_lot(floor.taper, 24)
    set_aside_order(order=giver, by=make_person())
    order = promised(floor.taper, 24, 0)
    let_a_plan_stand(make_person(), now=timezone.now())
    best = ways_to_save_order(order.promised_dates.get())[0]
    assert best.saves
    assert best.words.startswith(f"24 pairs of {floor.taper.code} taken over from order {giver.number}, The Lamp Room")


def test_today_names_the_promise_and_asks_for_what_would_save_it(client_for, floor):
    order = promised(floor.taper, 24, 3)
    client = client_for("packer")
    html = text(client.get("/"))
    assert "Promises at risk" in html
    url = reverse("promise_ways", args=[order.number])
    assert f'hx-get="{url}"' in html
    assert text(client.get(url, HTTP_HX_REQUEST="true")).strip() == "No dip plan stands: let one be made first."
    assert "Changes tried" in text(client.get(url))
    assert client.post(url).status_code == 405
    assert client_for("dipper").get(url).status_code == 403
    assert "Promises at risk" not in text(client_for("dipper").get("/"))


def test_thirty_promises_ask_no_more_than_one(floor):
    asked = []
    for count in (1, 30):
        for _ in range(count):
            promised(floor.taper, 24, 3)
        with CaptureQueriesContext(connection) as queries:
            at_risk(TODAY)
        asked.append(len(queries))
    assert asked[0] == asked[1], asked


def test_an_order_that_asks_is_answered_by_the_plan_without_standing_before_itself(floor):
    order = now(wanted((floor.taper, 30), ship_by=day(9)))
    let_a_plan_stand(make_person(), now=timezone.now())
    found = ready_by_order(order)
    assert found.plan
    assert found.whole.day is not None
    assert TODAY < found.whole.day <= day(9)
    assert 0 < found.whole.chance <= 1
    other = now(wanted((floor.taper, 30), ship_by=day(9)))
    assert ready_by_order(other).whole.day >= found.whole.day


@pytest.mark.parametrize(
    ("ways", "words"),
    [
        (None, "No dip plan stands: let one be made first."),
        ([], "Nothing to change: no pair of it waits for the floor."),
        (
            [Way("saturday worked", TODAY, True, (Later("A", 2, 9), Later("B", 1, 9), Later("A", 1, 9)), 4, 480)],
            "Saturday worked. Later by it: A by 2 days, B by 1 day.",
        ),
        ([Way("x", None, False, (), 0, 0)], "Nothing that was tried saves it."),
    ],
)
def test_what_saves_it_in_a_sentence(ways, words):
    assert saving_words(ways) == words


def test_many_who_would_be_later_are_counted():
    assert later_words([Later(name, 1, 5) for name in "ABCDE"]) == "A by 1 day, B by 1 day, C by 1 day and 2 more"
    assert later_words([]) == "nobody"
    assert later_words([Later("A", 9, 5, nowhere=True), Later("A", 2, 5)]) == "A (nothing would be planned for it)"
