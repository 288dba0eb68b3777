"""What a floor of many years costs: what stands is not looked for among all that was ever hung, read or planned."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from production.models import GaugeReading
from production.queries.dip_plan import planned_by_want
from production.queries.planned import TO_HANG, standing_meant_for
from production.queries.ready_by import outlooks
from tests.factories import make_candle, make_frame, make_hours, make_run
from tests.factories.floor import make_want
from tests.factories.planned import make_planned_frame

pytestmark = [pytest.mark.django_db, pytest.mark.sqlite]


def steps_of(statement: str) -> list[str]:
    """How SQLite goes about it, the outermost table first."""
    with connection.cursor() as cursor:
        cursor.execute(f"EXPLAIN QUERY PLAN {statement}")
        return [row[-1] for row in cursor.fetchall()]


def asked(act, *args) -> list[str]:
    with CaptureQueriesContext(connection) as queries:
        assert act(*args)
    return [step for query in queries for step in steps_of(query["sql"])]


def test_a_frames_readings_are_found_by_the_frame():
    """Nearly every reading voids none: the index of what it voids leads through all of them."""
    steps = GaugeReading.objects.standing().filter(frame__in=[1, 2]).explain().splitlines()
    assert "(frame_id=?)" in steps[0], steps


def test_what_hangs_is_found_without_reading_runs_and_frames_of_years():
    make_hours()
    frame = make_frame(state="hanging")
    make_run(frame.carousel, frames=[frame])
    steps = asked(outlooks, [frame])
    assert any("run_one_a_carousel" in step for step in steps), steps
    scanned = {step.split()[1] for step in steps if step.startswith("SCAN") and "production_" in step}
    assert scanned == {"production_workingday", "production_dayoff"}


def test_what_is_planned_is_found_by_the_plan_that_stands():
    """Frames that plans since replaced never hung have none either: they are not gone through."""
    candle = make_candle()
    want = make_want(candle, 40)
    make_planned_frame(candle, {want: 24})
    for steps in (asked(planned_by_want, [want.pk]), asked(list, standing_meant_for()), asked(list, TO_HANG.all())):
        assert any("(plan_id=?)" in step for step in steps), steps
        by_null = [step for step in steps if "plannedframe" in step and "(frame_id=?)" in step]
        scanned = [step for step in steps if step.startswith("SCAN") and "dip_plan_one_stands" not in step]
        assert by_null == scanned == [], steps
