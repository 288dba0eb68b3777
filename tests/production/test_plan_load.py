"""The book as a question for the planner: everything it knows of the floor arrives there, and what can't is said."""

from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from production.dip_plan.check import faults
from production.dip_plan.codec import problem_from_json, problem_to_json
from production.dip_plan.construct import construct
from production.domain.dip_plan.load import load_problem
from production.models import ChangeOver, DayOff, FloorFigures, PlanPin, Vat, WaxHeat, WorkingDay
from tests.factories import make_candle, make_lot, make_wax
from tests.factories.floor import (
    make_carousel,
    make_frame,
    make_reading,
    make_recipe,
    make_run,
    make_stage,
    make_vat,
    make_want,
)
from tests.production.plan_floor import FRIDAY, MONDAY, THURSDAY, make_plan_floor, quick_candle

pytestmark = pytest.mark.django_db


def load(**given):
    return load_problem(**{"days": 5, "now": MONDAY, **given})


def item_of(problem, candle):
    return next(item for item in problem.items if item.key == candle.pk)


def test_the_whole_floor_arrives():
    floor = make_plan_floor()
    problem = load().problem
    assert [(vat.name, problem.baths[vat.bath].name, vat.positions, vat.carousel) for vat in problem.vats] == [
        ("North vat", "ivory", 3, "Anvil"),
        ("South vat", "winter red", 3, "Bellows"),
    ]
    # 480 mm deep, filled to 25 below the rim, 20 kept clear of the bottom.
    assert problem.vats[0].depth_mm == 435
    assert len(problem.halves) == 10
    assert (problem.days[0].opens, problem.days[0].closes) == (
        datetime(2026, 11, 30, 8, tzinfo=UTC),
        datetime(2026, 11, 30, 17, tzinfo=UTC),
    )
    taper = item_of(problem, floor.taper)
    (stage,) = taper.stages
    assert (stage.dips, stage.turn_s, stage.dip_s, taper.pairs, taper.harden_s) == (7, 240, 15, 48, 12 * 3600)
    assert taper.counted[:2] == (0, 42)
    assert problem.change_s == ((0, 2700), (2700, 0))
    # Two hands, a quarter of an hour a frame, four hours before noon and five after it.
    assert problem.threads == (32, 40) * 5
    assert [(want.pairs, want.due, want.weight, want.label) for want in problem.wants] == [
        (60, THURSDAY, 2, "Rushcandle Deli"),
        (30, FRIDAY, 4, "Saltfold Deli"),
    ]
    assert problem.wax_g == (None,)
    assert problem.said == ()
    assert problem_from_json(problem_to_json(problem)) == problem
    assert not faults(problem, construct(problem))


def test_hours_and_days_off_make_the_days():
    make_plan_floor()
    WorkingDay.objects.filter(weekday=1).update(ends=time(12))
    DayOff.objects.create(day=date(2026, 12, 2))
    loaded = load(now=datetime(2026, 11, 30, 13, 7, tzinfo=UTC))
    # From a quarter past one: this afternoon, a morning on Tuesday, nothing on Wednesday.
    assert loaded.clock.names[:4] == (
        (date(2026, 11, 30), 2),
        (date(2026, 12, 1), 1),
        (THURSDAY, 1),
        (THURSDAY, 2),
    )
    assert loaded.begins == datetime(2026, 11, 30, 13, 15, tzinfo=UTC)
    assert loaded.problem.halves[0].ends == (3 * 60 + 45) * 60


def test_asked_twice_within_a_quarter_it_is_the_same_question():
    make_plan_floor()
    first, second = (load(now=datetime(2026, 11, 30, 9, minute, tzinfo=UTC)).problem for minute in (1, 14))
    assert first == second


def test_the_clocks_going_back_adds_no_hour_of_work():
    make_plan_floor()
    problem = load(now=datetime(2026, 10, 23, 6, tzinfo=UTC)).problem
    assert [day.opens.hour for day in problem.days[:2]] == [7, 8], "8 o'clock local, before and after"
    assert {day.ends - day.starts for day in problem.days} == {9 * 3600}


def test_without_hours_nothing_is_planned_and_it_is_said():
    make_plan_floor()
    WorkingDay.objects.all().delete()
    problem = load().problem
    assert problem.halves == ()
    assert any("No working hours" in said for said in problem.said)
    assert construct(problem).hangings == ()


def test_free_stock_and_what_hangs_is_not_wanted_again():
    floor = make_plan_floor()
    make_lot(floor.taper, 10)
    make_frame(floor.taper, wants={floor.wants[0]: 20}, kind=floor.kind, expected=42)
    problem = load().problem
    (want,) = [want for want in problem.wants if want.key == floor.wants[0].pk]
    assert want.pairs == 30
    (started,) = problem.started
    assert started.promised == ((problem.wants.index(want), 20),)
    assert started.spare == 22
    make_lot(floor.dinner, 40)
    assert all(want.key != floor.wants[1].pk for want in load().problem.wants), "stock fills it all"


def test_frames_on_their_way_are_where_they_are():
    floor = make_plan_floor()
    run = {"carousel": floor.carousels[1], "by": floor.by}
    dip = {"kind": floor.kind, "carousel": floor.carousels[1]}
    make_run(vat=floor.north, **run)
    hanging = make_frame(floor.taper, "hanging", position=2, dips=3, stage_dips=3, **dip)
    make_reading(hanging, "11")
    done = make_frame(floor.taper, "hanging", position=3, dips=7, stage_dips=7, done=True, **dip)
    waits = make_frame(floor.dinner, kind=floor.kind)
    off = MONDAY - timedelta(hours=2)
    hard = make_frame(floor.dinner, "off", kind=floor.kind, off_at=off, hard_at=off + timedelta(hours=12))
    problem = load().problem
    assert [vat.carousel for vat in problem.vats] == ["Bellows", "Anvil"], "the run's first, an idle one for the rest"
    rows = {started.code: started for started in problem.started}
    assert (rows[hanging.code].vat, rows[hanging.code].position) == (0, 1)
    assert 2 <= rows[hanging.code].stages[0].dips <= 5, "what its reading says is left"
    assert (rows[done.code].stages, rows[done.code].hard_s) == ((), 12 * 3600)
    assert (rows[waits.code].vat, rows[waits.code].stages[0].dips, rows[waits.code].hard_s) == (-1, 7, -1)
    # Hard at five in the evening: nine hours after the plan begins at eight.
    assert rows[hard.code].hard_s == 9 * 3600
    assert not faults(problem, construct(problem))


def test_every_stage_of_a_recipe_is_planned():
    floor = make_plan_floor()
    candle = make_candle(wax=floor.wax, colour=floor.red)
    recipe = make_recipe(candle, stages=0)
    make_stage(recipe, place=1, colour=floor.ivory, until_mm=Decimal("14"), growth_mm=Decimal("3"))
    make_stage(recipe, place=2, colour=floor.red, growth_mm=Decimal("2"), turn_minutes=Decimal("6"))
    make_stage(recipe, place=3, colour=floor.red, finish_dips=2, growth_mm=Decimal("0.5"), seconds_in=5)
    make_want(candle, 24, wanted_by=FRIDAY)
    half_way = make_frame(candle, kind=floor.kind, stage=2, dips=6, stage_dips=2)
    between = make_frame(candle, kind=floor.kind, stage=1, dips=4, stage_dips=4, done=True)
    problem = load().problem
    first, second = item_of(problem, candle).stages
    # 2 to 14 mm by 3 are 4 dips. Then to 21 less a mm of finish, by 2: 3 or 4, and the two finish dips in that bath.
    assert (problem.baths[first.bath].name, first.dips) == ("ivory", 4)
    assert (problem.baths[second.bath].name, second.turn_s, second.dip_s) == ("winter red", 360, 17)
    assert 5 <= second.dips <= 6
    rows = {started.code: started for started in problem.started}
    assert len(rows[half_way.code].stages) == 1
    assert rows[between.code].stages == (second,)
    assert not faults(problem, construct(problem))


def test_what_cannot_be_dipped_is_said_and_the_rest_is_planned():
    floor = make_plan_floor()
    no_recipe = make_candle(wax=floor.wax, colour=floor.red, name="Secret")
    make_want(no_recipe, 12, wanted_by=FRIDAY)
    long = quick_candle(floor.wax, floor.red, name="Endless", length_mm=Decimal("900"))
    make_want(long, 12, wanted_by=FRIDAY)
    beeswax = make_wax(name="Beeswax")
    nowhere = quick_candle(beeswax, floor.ivory, name="Nowhere")
    make_want(nowhere, 12, wanted_by=FRIDAY)
    late = make_want(floor.taper, 5, wanted_by=date(2026, 11, 27), for_whom="Yesterday's shop")
    for vat in Vat.objects.all():
        vat.may_hold.set([floor.wax])
    make_vat(name="Third vat", wax=floor.wax, colour=floor.red)
    problem = load().problem
    plan = construct(problem)
    said = " ".join([*problem.said, *plan.said])
    assert "Secret has no recipe yet: its 12 pairs are not planned." in said
    assert "Third vat has no carousel to turn over it" in said
    assert "5 pairs were due before today" in said
    assert "Endless" in said
    assert "Nowhere" in said
    ready = {problem.items[row.item].key for row in plan.ready}
    assert {floor.taper.pk, floor.dinner.pk} <= ready
    assert not {long.pk, nowhere.pk} & ready
    assert any(want.key == late.pk and want.due == late.wanted_by for want in problem.wants)
    assert not faults(problem, plan)


def test_wax_change_overs_and_figures_are_the_owners():
    floor = make_plan_floor()
    WaxHeat.objects.filter(wax=floor.wax).update(in_hand_kg=Decimal("12.5"))
    ChangeOver.objects.create(
        from_wax=floor.wax, to_wax=floor.wax, from_colour=floor.ivory, to_colour=floor.red, minutes=20
    )
    FloorFigures.objects.create(pk=1, hands=1, thread_minutes=30, handling_seconds=20, change_colour_minutes=50)
    problem = load().problem
    assert problem.wax_g == (12_500,)
    assert problem.change_s == ((0, 1200), (3000, 0))
    assert problem.threads[:2] == (8, 10)
    assert item_of(problem, floor.taper).stages[0].dip_s == 23


def test_another_wax_takes_the_longer_change_over_and_is_named():
    floor = make_plan_floor()
    make_want(quick_candle(make_wax(name="Beeswax"), floor.ivory), 12, wanted_by=FRIDAY)
    problem = load().problem
    names = [bath.name for bath in problem.baths]
    assert names == ["ivory", "winter red", "Beeswax, ivory"]
    assert problem.change_s[0] == (0, 2700, 7200)


def test_pins_of_the_days_ahead_are_places_in_the_plan():
    floor = make_plan_floor()
    pin = {"made_at": MONDAY, "made_by": floor.by}
    day = date(2026, 12, 1)
    PlanPin.objects.create(vat=floor.north, day=day, half=2, wax=floor.wax, colour=floor.red, **pin)
    PlanPin.objects.create(vat=floor.south, day=day, half=1, candle=floor.dinner, position=2, **pin)
    PlanPin.objects.create(vat=floor.north, day=date(2026, 11, 27), half=1, wax=floor.wax, colour=floor.red, **pin)
    problem = load().problem
    (vat_pin,), (frame_pin,) = problem.vat_pins, problem.frame_pins
    assert (vat_pin.vat, vat_pin.half, problem.baths[vat_pin.bath].name) == (0, 3, "winter red")
    assert (frame_pin.vat, frame_pin.half, frame_pin.position) == (1, 2, 1)
    plan = construct(problem)
    assert plan.baths[0][3] == vat_pin.bath
    assert not faults(problem, plan)


def test_a_trial_changes_the_question_and_not_the_book():
    floor = make_plan_floor()
    what_if = {
        "order": [{"candle": floor.taper.pk, "pairs": 48, "due": "2026-12-04"}],
        "vats_out": [floor.south.pk],
        "days_worked": ["2026-12-05"],
        "hands": 1,
    }
    loaded = load(what_if=what_if, days=6)
    problem = loaded.problem
    assert [vat.name for vat in problem.vats] == ["North vat"]
    assert loaded.clock.names[10] == (date(2026, 12, 5), 1)
    assert problem.threads[0] == 48
    assert [(want.key, want.pairs) for want in problem.wants if want.key < 0] == [(-1, 48)]
    assert load().problem.said == ()


def test_one_want_and_thirty_take_as_many_queries():
    floor = make_plan_floor()
    make_frame(floor.taper, kind=floor.kind)
    with CaptureQueriesContext(connection) as first:
        load()
    for number in range(14):
        candle = quick_candle(floor.wax, floor.red, name=f"More {number}")
        make_want(candle, 24, wanted_by=FRIDAY)
        make_frame(candle, kind=floor.kind)
    make_carousel()
    with CaptureQueriesContext(connection) as then:
        load()
    assert len(then) == len(first)
