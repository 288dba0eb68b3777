"""Order entry: when each row and the whole order can be ready."""

import uuid
from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from orders.domain.ordering import Row, save_draft, start_draft
from orders.ready_words import NO_PLAN, Ready, whole_of, whole_sentence
from production.queries.ready_by_plan import NO_RECIPE, NOT_KNOWN, ask_plan
from tests.factories import make_candle, make_frame, make_lot, make_person, make_shop
from tests.factories.floor import make_recipe
from tests.orders.grading import wanted
from tests.orders.order_pages import text
from tests.production.plan_floor import make_plan_floor
from tests.production.standing_plan import let_a_plan_stand

pytestmark = pytest.mark.django_db
TODAY = timezone.localdate()


@pytest.fixture
def floor():
    return make_plan_floor(wants=False)


@pytest.fixture
def plan(floor):
    return let_a_plan_stand(make_person(), now=timezone.now())


def draft(*rows, **fields):
    by = make_person("packer")
    order = start_draft(shop=make_shop(), submission=uuid.uuid4(), by=by, **fields)
    header = {"ship_by": TODAY + timedelta(days=1)}
    return save_draft(order=order, version=order.version, header=header, rows=[Row(*row) for row in rows], by=by)


def entry(client_for, order) -> str:
    return text(client_for("packer").get(reverse("order_entry", args=[order.number])))


def test_without_a_plan_stock_and_floor_are_all_there_is(client_for, floor):
    make_lot(floor.taper, 10)
    assert "All of it is ready now." in entry(client_for, draft((floor.taper, 10)))
    html = entry(client_for, draft((floor.taper, 30)))
    assert f"no day can be promised</b>: {NO_PLAN}" in html
    make_frame(floor.taper, state="off", expected=20, hard_at=timezone.now() + timedelta(days=3))
    html = entry(client_for, draft((floor.taper, 30)))
    assert "All of it can be ready by" in html
    assert "No dip plan yet" in html


def test_with_a_plan_every_row_has_its_day_its_chance_and_what_binds(client_for, floor, plan):
    html = entry(client_for, draft((floor.taper, 30), (floor.dinner, 30)))
    assert html.count("<b>ready ") == 2
    assert "times in 100" in html
    assert "dips and 12 hours to harden take so long" in html
    assert "frame more to hang" in html
    assert "All of it can be ready by" in html
    assert "after the ship-by date" in html


def test_rows_of_one_order_and_orders_taken_since_take_their_turn(floor, plan):
    alone = ask_plan([(floor.taper.pk, 100)])[0]
    first, second = ask_plan([(floor.taper.pk, 100), (floor.taper.pk, 2500)])
    assert first == alone
    assert second.day > first.day
    wanted((floor.taper, 2500), ship_by=TODAY + timedelta(days=2))
    assert ask_plan([(floor.taper.pk, 100)])[0].day > alone.day


def test_what_was_asked_before_beside_other_rows_changes_no_answer(floor, plan):
    apart = [ask_plan([(candle.pk, 60)])[0] for candle in (floor.taper, floor.dinner)]
    assert ask_plan([(floor.taper.pk, 60), (floor.dinner.pk, 60)]) == apart
    assert ask_plan([(floor.dinner.pk, 60), (floor.taper.pk, 60)]) == apart[::-1]
    make_lot(floor.dinner, 60)
    assert ask_plan([(floor.taper.pk, 60), (floor.dinner.pk, 60)])[1].parts == {"stock": 60}


def test_a_candle_the_plan_does_not_know_is_named_with_the_reason(floor, plan):
    bare, new = make_candle(wax=floor.wax, colour=floor.ivory), make_candle(wax=floor.wax, colour=floor.ivory)
    make_recipe(new)
    assert [answer.binds for answer in ask_plan([(bare.pk, 5), (new.pk, 5)])] == [NO_RECIPE, NOT_KNOWN]


def test_seconds_are_nobodys_to_plan(client_for, floor, plan):
    html = entry(client_for, draft((floor.taper, 3), grade="seconds"))
    assert "<b>ready " not in html
    assert "no day can be promised" not in html


def test_more_pairs_than_a_season_makes_are_said_to_be(client_for, floor, plan):
    html = entry(client_for, draft((floor.taper, 100_000)))
    assert "no day can be promised" in html
    assert "more than 60 frames of it" in html


def test_thirty_rows_ask_no_more_than_one(client_for, floor, plan):
    client, asked = client_for("packer"), []
    candles = [make_candle(wax=floor.wax, colour=floor.ivory) for _ in range(28)]
    orders = [draft((floor.taper, 5)), draft((floor.taper, 5), (floor.dinner, 5), *((each, 5) for each in candles))]
    for order in (orders[0], *orders):
        with CaptureQueriesContext(connection) as queries:
            client.get(reverse("order_entry", args=[order.number]))
        asked.append(len(queries))
    # One more asks why the plan does not know the 28 others, however many they are.
    assert asked[2] <= asked[1] + 1, asked


@pytest.mark.parametrize(
    ("rows", "ship_by", "words"),
    [
        ([Ready(TODAY, 1.0)], TODAY, "All of it is ready now."),
        (
            [Ready(TODAY, 1.0), Ready(TODAY + timedelta(days=2), 0.9), Ready(TODAY + timedelta(days=1), 0.5)],
            TODAY + timedelta(days=1),
            ", 45 times in 100; that is 1 day after the ship-by date.",
        ),
        ([Ready(TODAY, 1.0), Ready(None, None, "no vat")], TODAY, "Nobody can say when all of it is ready: no vat."),
    ],
)
def test_the_whole_order_is_ready_with_its_last_row(rows, ship_by, words):
    assert whole_sentence(whole_of(rows), today=TODAY, ship_by=ship_by, plan=True).endswith(words)
