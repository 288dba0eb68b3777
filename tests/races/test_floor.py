"""Two tablets at one carousel at the same moment: real threads on PostgreSQL."""

import uuid
from functools import partial

import pytest
from django.core.exceptions import ValidationError
from django.db import transaction

from production.domain.frames import hang_frame
from production.domain.turns import count_turn
from production.domain.undo import last_step, undo_step
from production.models import Frame, Step
from tests.factories.floor import make_frame
from tests.production.on_the_floor import make_floor
from tests.races.threads import second_waits_for_first, together

pytestmark = [pytest.mark.postgresql, pytest.mark.django_db(transaction=True)]


def test_one_tap_sent_twice_at_once_is_one_turn():
    floor, tap = make_floor(2), uuid.uuid4()
    act = partial(count_turn, run=floor.run, by=floor.by, tap=tap)
    results = second_waits_for_first(act, act)
    assert results[0] == results[1]
    assert floor.now(floor.run).turns == 1
    assert set(Frame.objects.values_list("dips", flat=True)) == {1}


def test_two_taps_at_once_are_two_turns():
    floor = make_floor(2)
    together(*[partial(count_turn, run=floor.run, by=floor.by, tap=uuid.uuid4()) for _ in range(2)])
    assert floor.now(floor.run).turns == 2
    assert set(Frame.objects.values_list("dips", flat=True)) == {2}


def test_one_position_takes_one_of_two_frames():
    floor = make_floor(0)
    frames = [make_frame(floor.candle) for _ in range(2)]
    results = together(
        *[partial(hang_frame, frame=frame, carousel=floor.carousel, position=3, by=floor.by) for frame in frames]
    )
    assert {type(result) for result in results} == {Step, ValidationError}
    assert Frame.objects.filter(state="hanging", position=3).count() == 1


def test_one_step_undone_by_two_is_undone_once():
    floor = make_floor(1)
    for _ in range(2):
        count_turn(run=floor.run, by=floor.by)
    with transaction.atomic():
        step = last_step(floor.run)
    together(*[partial(undo_step, step=step, by=floor.by) for _ in range(2)])
    assert floor.now(floor.run).turns == 1
    assert Frame.objects.get().dips == 1
