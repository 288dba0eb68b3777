"""A plan made on old facts says what has changed since, and nothing where all went as planned."""

from datetime import timedelta
from decimal import Decimal

import pytest

from production.domain.dip_plan.pins import pin_vat
from production.domain.frames import hang_frame, scrap_frame, take_off, thread_frame
from production.domain.runs import begin_run
from production.domain.turns import count_turn
from production.domain.wants import drop_want
from production.models import DayOff, FloorFigures, Recipe, WaxHeat
from production.queries.plan_facts import what_changed
from tests.factories.floor import make_change_over, make_vat, make_want
from tests.production.plan_floor import FRIDAY, MONDAY, THURSDAY, make_plan_floor, stand_plan

pytestmark = pytest.mark.django_db
EARLY = MONDAY  # before anything was to hang


@pytest.fixture
def floor():
    return make_plan_floor()


@pytest.fixture
def plan(floor):
    return stand_plan(floor)


def thread(floor, candle):
    return thread_frame(candle=candle, kind=floor.kind, hung=48, wants=None, by=floor.by, now=MONDAY)


def test_a_fresh_plan_has_nothing_to_say(plan):
    assert what_changed(plan, EARLY) == []


def test_what_goes_as_planned_is_no_news(floor, plan):
    run = begin_run(carousel=floor.carousels[0], vat=floor.north, turn_minutes=Decimal(4), by=floor.by, now=MONDAY)
    frame = thread(floor, floor.taper)
    hang_frame(frame=frame, carousel=floor.carousels[0], position=1, by=floor.by, now=MONDAY)
    count_turn(run=run, by=floor.by, now=MONDAY)
    take_off(frame=frame, by=floor.by, now=MONDAY)
    assert what_changed(plan, EARLY) == []


def test_wants_are_told_apart(floor, plan):
    make_want(floor.taper, 48, wanted_by=FRIDAY)
    make_want(floor.taper, 12, wanted_by=THURSDAY)
    drop_want(floor.wants[1])
    floor.wants[0].pairs += 6
    floor.wants[0].wanted_by = FRIDAY
    floor.wants[0].save()
    assert what_changed(plan, EARLY) == [
        "2 wants are new: 60 pairs, the first by 3 Dec.",
        "6 pairs more are wanted of what was wanted already.",
        "1 want has another day or rank.",
        "1 want is filled or withdrawn.",
    ]


def test_a_want_for_another_candle(floor, plan):
    floor.wants[0].candle = floor.dinner
    floor.wants[0].save()
    assert what_changed(plan, EARLY) == ["1 want asks for another candle."]


def test_frames_beside_the_plan_and_scrapped_ones_are_named(floor, plan):
    known = thread(floor, floor.dinner)
    frames = [thread(floor, floor.taper) for _ in range(3)]
    assert what_changed(plan, EARLY) == [f"{frames[2].code} was threaded beside the plan."]
    fresh = stand_plan(floor)
    scrap_frame(frame=known, reason="Dropped.", by=floor.by)
    assert what_changed(fresh, EARLY) == [f"{known.code} was scrapped."]


def test_frames_that_were_to_hang_by_now(plan):
    said = what_changed(plan, MONDAY + timedelta(days=4))
    assert said == ["3 planned frames were to hang by now and are not threaded yet: Ivory taper and Red dinner."]


def test_vats_hours_figures_recipes_pins_and_wax(floor, plan):
    floor.south.active = False
    floor.south.save()
    DayOff.objects.create(day=FRIDAY)
    FloorFigures.objects.update(hands=5)
    make_change_over(wax=floor.wax, from_colour=floor.ivory, to_colour=floor.red)
    Recipe.objects.filter(candle=floor.taper).update(version=7)
    WaxHeat.objects.filter(wax=floor.wax).update(in_hand_kg=40)
    assert what_changed(plan, EARLY) == [
        "South vat changed.",
        "The working hours or days off have changed.",
        "The floor's figures have changed.",
        "The change-over times have changed.",
        "A recipe has changed.",
        "The wax in hand has changed.",
    ]


def test_a_pin_is_news_until_it_is_planned_around(floor):
    from django.utils import timezone

    plan, day = stand_plan(floor, now=timezone.now()), timezone.localdate()
    while day.weekday() > 4 or day == timezone.localdate():
        day += timedelta(days=1)
    pin_vat(vat=floor.north, day=day, half=2, wax=floor.wax, colour=floor.red, by=floor.by)
    assert what_changed(plan, plan.begins) == ["The pins have changed."]


def test_the_look_takes_as_many_queries_on_a_long_dip_list(floor, plan, django_assert_max_num_queries):
    make_vat(wax=floor.wax, colour=floor.red)
    for _ in range(20):
        make_want(floor.taper, 12, wanted_by=FRIDAY)
    with django_assert_max_num_queries(16):
        what_changed(plan, EARLY)
