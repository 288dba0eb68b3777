"""The season on a small floor: until when orders can come in, how full its weeks are, what to make ahead."""

from datetime import date, datetime, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from inventory.models import Shelf
from orders.domain.season import want_ahead
from orders.queries.season_floor import (
    last_order_days,
    list_seen,
    outlook_now,
    saturdays,
    season_floor,
    wanted_ahead,
)
from orders.season.make_ahead import Expected, make_ahead
from production.domain.own_wants import add_own_want
from production.floor_load import floor_weeks
from production.models import Carousel, DipPlan, FloorFigures, Want, WorkingDay
from production.queries.last_orders import NO_PLAN, OTHER_HOURS
from production.queries.ready_by_plan import ask_plan
from tests.factories import make_lot, make_shop
from tests.factories.seasons import make_booked_before, make_booking
from tests.factories.trade import make_van_days
from tests.html import Page
from tests.production.plan_floor import make_plan_floor, stand_plan
from tests.production.small_plan import small_problem
from tests.production.standing_plan import stop_the_clock

pytestmark = pytest.mark.django_db
MONDAY, VAN, EVE = date(2026, 11, 30), date(2026, 12, 22), date(2026, 12, 21)
TO_THE_EVE = 16  # working days from Monday to the eve of the van


@pytest.fixture
def floor(monkeypatch):
    """Early on Monday 30 November; the van goes on Tuesdays and Thursdays. Nobody waits for anything."""
    stop_the_clock(monkeypatch)
    make_van_days(1, 3)
    return make_plan_floor(wants=False)


def by_asking(candle, pairs: int) -> date | None:
    """The last day at whose evening ready-by promises the pairs for the eve of the van, asked day by day."""
    last = None
    for ahead in range((EVE - MONDAY).days + 1):
        day = MONDAY + timedelta(days=ahead)
        if day.weekday() < 5:
            evening = timezone.make_aware(datetime(day.year, day.month, day.day, 16))
            (found,) = ask_plan([(candle.pk, pairs)], now=evening)
            last = day if found.day and found.day <= EVE else last
    return last


def test_the_season_page_states_the_last_order_day_that_the_plan_gives(floor, client_for):
    stand_plan(floor, days=TO_THE_EVE)
    days = {candle: by_asking(candle, candle.pairs_per_box) for candle in (floor.taper, floor.dinner)}
    assert MONDAY < min(days.values()) < EVE
    page = Page(client_for("owner").get("/season/").content.decode())
    first = min(days.values())
    said = f"An order for a box can come in until {first:%A} {first.day} {first:%b}"
    assert said in page.one("p", class_="also")["text"]
    last, _ = last_order_days(outlook_now().season, [])
    assert {candle: last.days[candle.pk].on for candle in days} == days


def test_a_plan_that_ends_before_the_van_is_gone_on_with(floor):
    stand_plan(floor, days=TO_THE_EVE)
    whole, _ = last_order_days(outlook_now().season, [])
    stand_plan(floor, days=3)
    short, _ = last_order_days(outlook_now().season, [])
    assert {pk: day.on for pk, day in short.days.items()} == {pk: day.on for pk, day in whole.days.items()}


def test_free_stock_is_left_out_and_those_who_wait_keep_their_room(floor):
    stand_plan(floor, days=TO_THE_EVE)
    before, _ = last_order_days(outlook_now().season, [])
    make_lot(floor.taper, 480, by=floor.by)
    after, _ = last_order_days(outlook_now().season, [])
    assert after.days == before.days
    crowd = [(floor.taper.pk, 1500, EVE), (floor.dinner.pk, 1500, EVE)]
    crowded, _ = last_order_days(outlook_now().season, crowd)
    assert crowded.days == before.days
    assert crowded.crowded[floor.taper.pk].on <= before.days[floor.taper.pk].on


def test_orders_taken_since_the_plan_take_their_room_first(floor):
    """Hands thread two frames a day: what was wanted since takes nearly all that is left to thread."""
    FloorFigures.objects.update_or_create(pk=1, defaults={"hands": 1, "thread_minutes": 240})
    stand_plan(floor, days=TO_THE_EVE)
    before, _ = last_order_days(outlook_now().season, [])
    assert before.days[floor.dinner.pk].on > date(2026, 12, 14)
    add_own_want(candle=floor.taper, pairs=1250, wanted_by=EVE, by=floor.by)
    after, _ = last_order_days(outlook_now().season, [])
    assert after.days[floor.dinner.pk].on is None or after.days[floor.dinner.pk].on < before.days[floor.dinner.pk].on


def test_without_a_plan_or_with_other_hours_nobody_can_say(floor, client_for):
    last, _ = last_order_days(outlook_now().season, [])
    assert (last.days, last.lacking, last.by) == ({}, NO_PLAN, EVE)
    assert "no dip plan stands" in client_for("owner").get("/season/last-orders/").content.decode()
    stand_plan(floor, days=TO_THE_EVE)
    WorkingDay.objects.filter(weekday=1).update(ends="12:00")
    last, _ = last_order_days(outlook_now().season, [])
    assert last.lacking == OTHER_HOURS


def test_asked_again_nothing_is_worked_out_anew(floor):
    stand_plan(floor, days=TO_THE_EVE)
    season = outlook_now().season
    first, _ = last_order_days(season, [])
    with CaptureQueriesContext(connection) as queries:
        again, _ = last_order_days(season, [])
    assert again.days is first.days
    assert len(queries) <= 12
    assert DipPlan.objects.count() == 1


@pytest.fixture
def expected(floor):
    """Last season 12,000 pairs of each candle were sent in December, this year few; a vat has one position."""
    Carousel.objects.update(positions=1)
    shop = make_shop()
    for candle in (floor.taper, floor.dinner):
        for day in (date(2025, 12, 1), date(2025, 12, 8)):
            for _ in range(20):
                make_booked_before(make_shop(address=False), candle, 300, day, made_by=floor.by)
    make_booking(shop, floor.taper, 24, MONDAY, ship_by=date(2026, 12, 10))
    return floor


def test_what_is_expected_fills_the_weeks_it_was_sent_in(expected):
    outlook = outlook_now()
    assert sum(pairs for _, pairs, _ in outlook.expected) == outlook.season.projection.rest > 18_000
    assert {day for _, _, day in outlook.expected} == {date(2026, 12, 10), date(2026, 12, 17)}
    weeks = outlook.floor().asked
    assert [week.monday.day for week in weeks.weeks] == [30, 7, 14, 21]
    assert weeks.load(1).most > 1


def test_a_vat_a_carousel_hands_and_saturdays_more_are_room(expected):
    outlook = outlook_now()
    bare = outlook.floor()
    fuller = max(load.turns for load, _ in bare.loads)
    worked = saturdays(VAN, MONDAY)
    assert worked == ["2026-12-05", "2026-12-12", "2026-12-19"]
    for change in ({"vats_more": [expected.north.pk], "carousels_more": 1}, {"days_worked": worked}):
        tried = outlook.floor(change)
        assert max(load.turns for load, _ in tried.loads) < fuller
    alone = outlook.floor({"vats_more": [expected.north.pk]})
    assert any("has no carousel to turn over it" in said for said in alone.asked.problem.said)
    hands = outlook.floor({"hands": 2})
    assert hands.asked.weeks[0].threads == 2 * bare.asked.weeks[0].threads


def test_what_lies_free_or_is_wanted_for_the_shelf_is_not_expected_of_the_floor(expected):
    before = sum(pairs for _, pairs, _ in outlook_now().expected)
    make_lot(expected.taper, 500, by=expected.by)
    add_own_want(candle=expected.dinner, pairs=300, wanted_by=EVE, by=expected.by)
    assert sum(pairs for _, pairs, _ in outlook_now().expected) == before - 800


def test_the_make_ahead_list_goes_to_the_dip_list_once(expected):
    rows = wanted_ahead()
    assert rows
    assert all(row.wanted_by <= VAN for row in rows)
    seen, before = list_seen(rows), Want.objects.count()
    assert want_ahead(seen=seen, by=expected.by) == sum(row.frames for row in rows)
    wants = Want.objects.filter(for_whom="the shelf: for Christmas")
    assert (before, wants.count()) == (0, len(rows))
    with pytest.raises(ValidationError, match="has changed since"):
        want_ahead(seen=seen, by=expected.by)
    assert Want.objects.count() == len(rows)


def test_more_of_the_same_is_added_to_what_was_put_there(expected):
    row = wanted_ahead()[0]
    add_own_want(candle=row.candle, pairs=1, wanted_by=row.wanted_by, note="for Christmas", by=expected.by)
    rows = wanted_ahead()
    same = next(each for each in rows if (each.candle, each.wanted_by) == (row.candle, row.wanted_by))
    want_ahead(seen=list_seen(rows), by=expected.by)
    assert Want.objects.get(candle=row.candle, wanted_by=row.wanted_by).pairs == 1 + same.pairs


def test_shelves_bound_what_is_made_ahead(expected):
    shelf = Shelf.objects.create(code="A1", room_pairs=100)
    for candle in (expected.taper, expected.dinner):
        candle.shelf = shelf
        candle.save()
    make_lot(expected.taper, 30, by=expected.by, shelf=shelf)
    assert 0 < sum(row.pairs for row in wanted_ahead()) <= 70


def test_the_surest_and_those_that_relieve_a_full_week_come_first():
    problem = small_problem(started=(), wants=())
    floor = floor_weeks(problem, [])
    rows = [
        Expected(1, 0, rest=100, low=90, free=0, coming=0),
        Expected(2, 1, rest=100, low=80, free=0, coming=0, relief=0.5),
        Expected(3, 0, rest=50, low=40, free=20, coming=20),
    ]
    found = make_ahead(floor, rows, {}, 1)
    assert [row.expected.candle for row in found] == [2, 1]
    assert [(row.frames, row.pairs) for row in found] == [(2, 80), (2, 82)]
    assert found[0].weeks == [(0, 2)]
    assert [row.why for row in make_ahead(floor, rows, {}, 0)] == ["no idle week has room for a frame of it"] * 2


def test_a_season_without_hours_says_so(client_for):
    page = client_for("owner").get("/season/weeks/")
    assert "No working hours are set up" in page.content.decode()
    assert season_floor(VAN, []).asked.weeks == []
