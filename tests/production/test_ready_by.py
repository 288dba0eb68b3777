"""When the pairs of a frame will be ready, in words."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from production.models import DayOff, DipRun
from production.queries.ready_by import outlooks
from tests.factories import make_candle, make_frame, make_hours, make_recipe, make_run
from tests.production.on_the_floor import NOON

pytestmark = pytest.mark.django_db
TODAY = date(2026, 11, 25)  # a Wednesday; NOON is of it
FRIDAY_NOON = NOON + timedelta(days=2)


def words(frame, now=NOON) -> str:
    return outlooks([frame], now)[frame.pk].in_words(TODAY)


@pytest.fixture
def hanging():
    """30 dips of 0.6 mm from 2 mm make 20 mm; of 34 to the gauge some are left."""
    make_hours()
    frame = make_frame(state="hanging", dips=30, stage_dips=30)
    make_run(frame.carousel, frames=[frame])
    return frame


def test_a_hanging_frame_counts_its_dips_and_its_hardening(hanging):
    assert words(hanging) == "3 dips left, ready about Thursday 26 Nov"


def test_hours_and_days_off_push_it_out(hanging):
    friday_evening = datetime(2026, 11, 27, 16, 55, tzinfo=UTC)
    assert words(hanging, friday_evening) == "3 dips left, ready about Tuesday 1 Dec"
    DayOff.objects.create(day=date(2026, 11, 30))
    assert words(hanging, friday_evening) == "3 dips left, ready about Wednesday 2 Dec"


def test_a_run_at_rest_is_said_to_be(hanging):
    DipRun.objects.update(resting=True)
    assert words(hanging) == "3 dips left, resting, ready about Thursday 26 Nov"


def test_one_at_gauge_and_one_dip(hanging):
    hanging.done = True
    assert words(hanging) == "at gauge, ready about Thursday 26 Nov"
    hanging.done, hanging.dips, hanging.stage_dips = False, 32, 32
    assert words(hanging) == "1 dip left, ready about Thursday 26 Nov"


def test_a_threaded_frame_is_not_promised_a_day():
    make_hours()
    assert words(make_frame()) == "threaded, not hung yet; if it is hung now, ready about Thursday 26 Nov"


def test_a_frame_without_a_recipe_leads_nobody_astray():
    assert words(make_frame(state="hanging", recipe=False)).startswith("nobody can tell yet when")
    assert words(make_frame(recipe=False)) == "threaded, not hung yet"


def test_hardening_ends_on_a_day_that_is_worked():
    make_hours()
    hard_at = FRIDAY_NOON + timedelta(days=1)
    frame = make_frame(state="off", off_at=FRIDAY_NOON, hard_at=hard_at)
    assert words(frame, FRIDAY_NOON) == "hardening, ready about Monday 30 Nov"
    assert words(frame, hard_at) == "hard, waits to be graded"


def test_another_year_is_named():
    frame = make_frame(state="off", off_at=NOON, hard_at=datetime(2027, 1, 4, 9, tzinfo=UTC))
    assert words(frame) == "hardening, ready about Monday 4 Jan 2027"


def test_many_frames_ask_no_more_than_one():
    make_hours()
    asked = []
    for more in (1, 12):
        frames = [make_frame(make_candle()) for _ in range(more)]
        with CaptureQueriesContext(connection) as queries:
            outlooks(frames, NOON)
        asked.append(len(queries))
    assert asked[0] == asked[1] <= 7, asked
    assert outlooks([]) == {}


def test_frames_that_harden_are_not_asked_how_they_grow(django_assert_num_queries):
    make_hours()
    frames = [make_frame(make_candle(), "off", off_at=NOON, hard_at=NOON + timedelta(days=1)) for _ in range(3)]
    with django_assert_num_queries(2):
        assert {look.dips for look in outlooks(frames, NOON).values()} == {0}


def test_a_recipe_of_slow_growth_takes_longer():
    make_hours()
    candle = make_candle()
    recipe = make_recipe(candle)
    recipe.stages.update(growth_mm="0.05")
    assert "ready about" in words(make_frame(candle))
