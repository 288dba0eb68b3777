"""The factories make what the tables let through, in every state."""

import pytest

from production.models import Frame
from production.models.frame import STATES
from tests.factories import make_candle, make_frame, make_hours, make_reading, make_run, make_vat_reading, make_want

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("state", [state for state, _ in STATES])
def test_a_frame_in_every_state(state):
    first, second = make_frame(state=state), make_frame(state=state)
    assert Frame.objects.filter(state=state).count() == 2
    assert first.code != second.code


def test_a_frame_hung_for_a_want():
    candle = make_candle()
    want = make_want(candle, pairs=30)
    frame = make_frame(candle, state="hanging", wants={want: 20})
    assert frame.hung_for == 20
    assert frame.promises.get().pairs == 20


def test_a_run_with_its_frames_and_readings():
    frame = make_frame(state="hanging", dips=5)
    run = make_run(carousel=frame.carousel, frames=[frame])
    assert make_reading(frame, 5.2, run=run).dips == 5
    assert run.frames.get().dips == 5
    assert make_vat_reading(run.vat).celsius == 70
    assert len(make_hours()) == 5
