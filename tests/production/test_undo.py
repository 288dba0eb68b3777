"""Undoing the last step puts everything back exactly, and only where nothing has changed since."""

import uuid
from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inventory.models import Record
from production.domain.frames import hang_frame, take_off
from production.domain.runs import begin_run, end_run, move_run, pace_run, rest, resume
from production.domain.set_right import Seen, set_right
from production.domain.turns import count_turn, mark_done, next_stage, read_gauge, settle_clock
from production.domain.undo import last_step, undo_step
from production.models import DipRun, Frame, GaugeReading, Step
from tests.factories import make_person
from tests.factories.floor import make_carousel, make_frame, make_vat, make_vat_reading
from tests.production.on_the_floor import NOON, counters, make_floor
from tests.production.test_frames import refusal
from tests.production.test_runs import make_core_and_coat

pytestmark = pytest.mark.django_db


def undo(floor, by=None):
    return undo_step(step=last_step(floor.now(floor.run)), by=by or floor.by)


STEPS = {
    "turn": lambda floor, frame, n: count_turn(run=floor.run, by=floor.by),
    "hang": lambda floor, frame, n: hang_frame(frame=frame, carousel=floor.carousel, position=n, by=floor.by),
    "finish": lambda floor, frame, n: take_off(frame=frame, by=floor.by),
    "aside": lambda floor, frame, n: take_off(frame=frame, finished=False, by=floor.by),
    "done": lambda floor, frame, n: mark_done(frame=frame, by=floor.by),
    "not done": lambda floor, frame, n: mark_done(frame=frame, done=False, by=floor.by),
    "stage": lambda floor, frame, n: next_stage(frame=frame, by=floor.by),
    "read": lambda floor, frame, n: read_gauge(frame=frame, mm=Decimal(n) / 4 + 2, by=floor.by),
    "read again": lambda floor, frame, n: read_gauge(
        frame=frame, mm=Decimal(n) / 4 + 2, replaces_last=True, by=floor.by
    ),
    "rest": lambda floor, frame, n: rest(run=floor.run, by=floor.by),
    "resume": lambda floor, frame, n: resume(run=floor.run, by=floor.by),
    "pace": lambda floor, frame, n: pace_run(run=floor.run, counting="tap", turn_minutes=Decimal(n), by=floor.by),
    "end": lambda floor, frame, n: end_run(run=floor.run, by=floor.by),
    "right": lambda floor, frame, n: set_right(
        run=floor.run, hangs=[Seen(n, frame, dips=n, done=n == 3)], reason="off the book", by=floor.by
    ),
    "swap": lambda floor, frame, n: set_right(run=floor.run, hangs=swapped(floor), reason="swapped", by=floor.by),
}


def swapped(floor):
    hanging = list(Frame.objects.filter(carousel=floor.carousel).order_by("pk"))
    places = [frame.position for frame in hanging]
    return [Seen(place, frame) for frame, place in zip(hanging, places[1:] + places[:1], strict=True)]


class Rollback(Exception):
    pass


@settings(max_examples=20, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.lists(st.tuples(st.sampled_from(list(STEPS)), st.integers(0, 2), st.integers(1, 6)), max_size=10))
def test_undoing_every_step_goes_back_through_every_state(plan):
    """Whatever is done, undoing it step by step passes through the very states it came through."""
    with pytest.raises(Rollback), transaction.atomic():
        there_and_back(plan)


def there_and_back(plan):
    floor = make_floor(2)
    floor.frames.append(make_frame(floor.candle, code="F90"))
    states = [counters()]
    for name, which, n in plan:
        try:
            STEPS[name](floor, floor.frames[which], n)
        except ValidationError:
            # Refused: nothing may have changed.
            assert counters() == states[-1], name
        else:
            states.append(counters())
    assert counters() == states.pop()
    while states:
        undo(floor)
        assert counters() == states.pop()
    raise Rollback


def test_a_turn_is_undone_with_its_wax_and_its_finish():
    floor = make_floor(2)
    next_stage(frame=floor.frames[0], by=floor.by)
    was = counters()
    step = count_turn(run=floor.run, by=floor.by)
    assert floor.now(floor.frames[0]).done
    other = make_person("dipper", full_name="Ann Wick")
    undo(floor, by=other)
    assert counters() == was
    assert Step.objects.get(pk=step.pk).undone
    told = Record.objects.get(subject="run")
    assert (told.person, told.what[:14]) == (other, "Undone: turn 1")


def test_undoing_twice_undoes_once():
    floor = make_floor(1)
    for _ in range(2):
        step = count_turn(run=floor.run, by=floor.by)
    for _ in range(2):
        undo_step(step=step, by=floor.by)
    assert floor.now(floor.run).turns == 1


def test_only_the_last_step_is_undone():
    floor = make_floor(1)
    step = count_turn(run=floor.run, by=floor.by)
    other = make_person("dipper", full_name="Ann Wick")
    read_gauge(frame=floor.frames[0], mm=Decimal(3), by=other)
    assert "Ann Wick did something since (the reading of F7)" in refusal(undo_step, step=step, by=floor.by)
    assert floor.now(floor.run).turns == 1


def test_a_graded_frame_is_not_pulled_back():
    floor = make_floor(1)
    count_turn(run=floor.run, by=floor.by)
    step = take_off(frame=floor.frames[0], by=floor.by)
    Frame.objects.update(state="graded")
    assert "F7 changed since" in refusal(undo_step, step=step, by=floor.by)
    assert Frame.objects.get().state == "graded"


def test_a_frame_hung_elsewhere_is_not_pulled_back():
    floor = make_floor(1)
    step = take_off(frame=floor.frames[0], finished=False, by=floor.by)
    other = make_carousel()
    vat = make_vat(wax=floor.vat.wax, colour=floor.vat.colour)
    begin_run(carousel=other, vat=vat, turn_minutes=Decimal(4), by=floor.by)
    hang_frame(frame=floor.frames[0], carousel=other, position=1, by=floor.by)
    assert "changed since" in refusal(undo_step, step=step, by=floor.by)
    assert floor.now(floor.frames[0]).carousel == other


def test_an_ended_run_is_not_opened_over_a_vat_that_is_taken():
    floor = make_floor(0)
    step = end_run(run=floor.run, by=floor.by)
    begin_run(carousel=make_carousel(), vat=floor.vat, turn_minutes=Decimal(4), by=floor.by)
    assert "changed since" in refusal(undo_step, step=step, by=floor.by)
    assert DipRun.objects.filter(ended_at=None).count() == 1


def test_a_move_is_undone_whole():
    floor = make_core_and_coat()
    mark_done(frame=floor.frames[0], by=floor.by)
    was = counters()
    new = move_run(run=floor.run, vat=floor.vat, by=floor.by)
    undo_step(step=last_step(new), by=floor.by)
    now = counters()
    assert (now["frames"], now["dipped"], now["levels"]) == (was["frames"], was["dipped"], was["levels"])
    assert not floor.now(floor.run).ended_at
    assert DipRun.objects.get(pk=new.pk).ended_at
    mark_done(frame=floor.frames[0], done=False, by=floor.by)


def test_a_clock_turn_that_is_undone_is_not_counted_again():
    floor = make_floor(1, counting="clock")
    later = NOON + timedelta(minutes=13)
    settle_clock(floor.run, later)
    undo(floor)
    assert settle_clock(floor.now(floor.run), later) == 0
    assert floor.now(floor.run).turns == 1
    assert settle_clock(floor.now(floor.run), NOON + timedelta(minutes=18)) == 1


def test_a_level_read_since_stays():
    floor = make_floor(1)
    step = count_turn(run=floor.run, by=floor.by)
    type(floor.vat).objects.update(level_mm=Decimal("44"))
    make_vat_reading(floor.vat, kind="level", level_mm=Decimal("44"))
    undo_step(step=step, by=floor.by)
    assert floor.now(floor.vat).level_mm == Decimal("44")


def test_undoing_a_reading_strikes_it_out_and_keeps_the_row():
    floor, tap = make_floor(1), uuid.uuid4()
    read_gauge(frame=floor.frames[0], mm=Decimal("2.4"), by=floor.by, tap=tap)
    undo(floor)
    assert GaugeReading.objects.count() == 2
    assert not GaugeReading.objects.standing().exists()
    # The tap comes once more, from a tablet that was off the network: it stays undone.
    read_gauge(frame=floor.frames[0], mm=Decimal("2.4"), by=floor.by, tap=tap)
    assert not GaugeReading.objects.standing().exists()
