"""Turns by tap and by the clock, gauge readings, and the wax they take out."""

import uuid
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from production.domain.runs import pace_run, rest, resume
from production.domain.turns import count_turn, mark_done, next_stage, read_gauge, settle_clock
from production.models import DayOff, Frame, GaugeReading, Step
from production.wax_use import Hung, dip_mass_g
from tests.factories.floor import make_hours
from tests.production.on_the_floor import NOON, make_floor
from tests.production.test_frames import refusal

pytestmark = pytest.mark.django_db
MINUTE = timedelta(minutes=1)


def dips(floor):
    return list(Frame.objects.order_by("pk").values_list("dips", "stage_dips"))


def test_a_turn_dips_every_hung_frame_but_those_done():
    floor = make_floor(3)
    mark_done(frame=floor.frames[1], by=floor.by)
    step = count_turn(run=floor.run, by=floor.by, now=NOON)
    assert dips(floor) == [(1, 1), (0, 0), (1, 1)]
    assert (step.kind, step.turn, step.person, step.at) == ("turn", 1, floor.by, NOON)
    mark_done(frame=floor.frames[1], done=False, by=floor.by)
    count_turn(run=floor.run, by=floor.by)
    assert dips(floor) == [(2, 2), (1, 1), (2, 2)]


def test_a_tap_that_comes_twice_is_one_turn():
    floor, tap = make_floor(1), uuid.uuid4()
    first = count_turn(run=floor.run, by=floor.by, tap=tap)
    assert count_turn(run=floor.run, by=floor.by, tap=tap) == first
    assert (floor.now(floor.run).turns, dips(floor)) == (1, [(1, 1)])


def test_a_turn_of_nothing_is_refused():
    floor = make_floor(1)
    mark_done(frame=floor.frames[0], by=floor.by)
    assert "Every frame that hangs is done" in refusal(count_turn, run=floor.run, by=floor.by)
    assert "is marked done already" in refusal(mark_done, frame=floor.frames[0], by=floor.by)


def test_a_counter_does_not_run_over():
    floor = make_floor(1)
    Frame.objects.update(dips=999)
    assert "more than 999 dips" in refusal(count_turn, run=floor.run, by=floor.by)
    assert floor.now(floor.run).turns == 0


def test_after_its_finish_dip_a_frame_is_done():
    floor = make_floor(1)
    next_stage(frame=floor.frames[0], by=floor.by)
    count_turn(run=floor.run, by=floor.by)
    frame = floor.now(floor.frames[0])
    assert (frame.stage, frame.stage_dips, frame.done) == (2, 1, True)


def test_a_turn_lowers_the_vat_by_the_wax_it_takes_out():
    """TRADE P9 and P10: one frame of 48 pairs, 250 mm long, from 2 to about 2.6 mm."""
    floor = make_floor(1, finish=False)
    count_turn(run=floor.run, by=floor.by)
    grams = dip_mass_g(Hung(96, 250, 2.0, 0.6, 0.9))
    fell = Decimal(grams / (0.78 / 1000 * 600 * 400)).quantize(Decimal("0.01"))
    assert fell > 0
    assert floor.now(floor.vat).level_mm == Decimal("30") + fell


def clock_floor(**fields):
    make_hours()
    return make_floor(2, counting="clock", **fields)


def test_the_clock_counts_whole_turns():
    floor = clock_floor()
    assert settle_clock(floor.run, NOON + 5 * MINUTE) == 0
    assert settle_clock(floor.run, NOON + 32 * MINUTE) == 5
    assert settle_clock(floor.run, NOON + 32 * MINUTE) == 0
    assert settle_clock(floor.run, NOON + 36 * MINUTE) == 1
    assert (floor.now(floor.run).turns, dips(floor)) == (6, [(6, 6), (6, 6)])
    turns = Step.objects.filter(kind="turn").order_by("pk")
    assert list(turns.values_list("turn", "at")) == [(n, NOON + 6 * n * MINUTE) for n in range(1, 7)]
    assert {step.person for step in turns} == {floor.by}


def test_the_clock_counts_in_working_hours_only():
    floor = clock_floor()  # 8 to 17 on weekdays
    assert settle_clock(floor.run, datetime(2026, 11, 26, 7, 59, tzinfo=UTC)) == 50
    assert settle_clock(floor.run, datetime(2026, 11, 26, 8, 12, tzinfo=UTC)) == 2
    DayOff.objects.create(day=date(2026, 11, 27))
    # Friday is off, then the weekend: what was left of Thursday, and one turn on Monday.
    assert settle_clock(floor.run, datetime(2026, 11, 30, 8, 6, tzinfo=UTC)) == 88 + 1


def test_without_hours_the_clock_counts_over_midnight():
    floor = make_floor(1, counting="clock", now=datetime(2026, 11, 25, 23, 30, tzinfo=UTC))
    assert settle_clock(floor.run, datetime(2026, 11, 26, 0, 30, tzinfo=UTC)) == 10


@pytest.mark.parametrize(("day", "turns"), [(date(2026, 10, 25), 50), (date(2026, 3, 29), 30)])
def test_the_night_the_clocks_change_has_the_turns_it_has(day, turns):
    """From midnight to 4 by the wall: five hours when summer time ends, three when it begins (6 minutes a turn)."""
    from zoneinfo import ZoneInfo

    london = ZoneInfo("Europe/London")
    make_hours(range(7), time(0), time(4))
    begins = datetime(day.year, day.month, day.day, tzinfo=london)
    floor = make_floor(1, counting="clock", now=begins)
    assert settle_clock(floor.run, begins.replace(hour=23)) == turns


def test_the_clock_stands_while_a_run_rests_and_when_it_counts_by_tap():
    floor = clock_floor()
    rest(run=floor.run, by=floor.by, now=NOON + 13 * MINUTE)
    assert floor.now(floor.run).turns == 2
    resume(run=floor.run, by=floor.by, now=NOON + 60 * MINUTE)
    assert settle_clock(floor.now(floor.run), NOON + 66 * MINUTE) == 1
    pace_run(run=floor.run, counting="tap", turn_minutes=Decimal(6), by=floor.by, now=NOON + 70 * MINUTE)
    assert settle_clock(floor.now(floor.run), NOON + 120 * MINUTE) == 0


def test_a_tap_ahead_of_the_clock_starts_it_again():
    floor = clock_floor()
    count_turn(run=floor.run, by=floor.by, now=NOON + 5 * MINUTE)
    assert settle_clock(floor.now(floor.run), NOON + 10 * MINUTE) == 0
    assert settle_clock(floor.now(floor.run), NOON + 11 * MINUTE) == 1


def test_the_clock_counts_nothing_while_nothing_hangs():
    make_hours()
    floor = make_floor(0, counting="clock")
    assert settle_clock(floor.run, NOON + 60 * MINUTE) == 0
    assert floor.now(floor.run).clock_from == NOON + 60 * MINUTE


def test_a_day_of_turns_is_counted_in_few_questions():
    floor = clock_floor()
    with CaptureQueriesContext(connection) as queries:
        assert settle_clock(floor.run, NOON + 300 * MINUTE) == 50
    assert len(queries) < 40


def test_a_reading_is_kept_with_person_dips_and_run():
    floor, tap = make_floor(1), uuid.uuid4()
    count_turn(run=floor.run, by=floor.by)
    for _ in range(2):
        read_gauge(frame=floor.frames[0], mm=Decimal("2.7"), by=floor.by, tap=tap, now=NOON)
    reading = GaugeReading.objects.get()
    assert (reading.mm, reading.dips, reading.stage, reading.run) == (Decimal("2.70"), 1, 1, floor.run)
    assert (reading.person, reading.at) == (floor.by, NOON)


@pytest.mark.parametrize(
    ("mm", "why"),
    [
        ("0", "above 0"),
        ("-3", "above 0"),
        ("400", "below 300"),
        ("1000000000", "below 300"),
        ("NaN", "above 0"),
        ("Infinity", "above 0"),
        ("60", "more than twice the gauge"),
        ("1", "thinner than the primed wick"),
        ("7", "thinner than the 8"),
    ],
)
def test_readings_no_candle_has_are_refused(mm, why):
    floor = make_floor(1)
    for _ in range(10):
        count_turn(run=floor.run, by=floor.by)
    read_gauge(frame=floor.frames[0], mm=Decimal("8"), by=floor.by)
    assert why in refusal(read_gauge, frame=floor.frames[0], mm=Decimal(mm), by=floor.by)
    assert GaugeReading.objects.count() == 1


def test_a_wrong_reading_is_struck_out_by_the_one_that_replaces_it():
    floor = make_floor(1)
    for _ in range(10):
        count_turn(run=floor.run, by=floor.by)
    read_gauge(frame=floor.frames[0], mm=Decimal("18"), by=floor.by)
    assert "thinner" in refusal(read_gauge, frame=floor.frames[0], mm=Decimal("8.1"), by=floor.by)
    read_gauge(frame=floor.frames[0], mm=Decimal("8.1"), replaces_last=True, by=floor.by)
    assert list(GaugeReading.objects.standing().values_list("mm", flat=True)) == [Decimal("8.10")]
    assert GaugeReading.objects.count() == 3


def test_a_reading_of_a_frame_that_does_not_hang_is_refused():
    floor = make_floor(1)
    Frame.objects.update(state="threaded", carousel=None, position=None)
    assert "hangs on no carousel" in refusal(read_gauge, frame=floor.frames[0], mm=Decimal(8), by=floor.by)
