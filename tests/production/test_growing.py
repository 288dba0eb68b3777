"""What a frame's growth is expected from: its candle's finished frames, else those of its wax, else the recipe."""

from decimal import Decimal

import pytest

from production.queries.growing import growing_of
from tests.factories import make_candle, make_person, make_wax
from tests.factories.floor import make_frame, make_reading, make_recipe

pytestmark = pytest.mark.django_db


@pytest.fixture
def by():
    return make_person("dipper")


def finish(candle, growth: float, by) -> None:
    """A finished frame whose readings lie on a line from 2 mm."""
    frame = make_frame(candle, "off", by=by, dips=40)
    for dips in (10, 20, 30, 40):
        frame.dips = dips
        make_reading(frame, round(2 + growth * dips, 2), by)


def expected(frame) -> float:
    return growing_of([frame])[frame.pk].before.growth


def test_a_candle_nobody_dipped_yet_grows_as_its_recipe_says(by):
    candle = make_candle(wax=make_wax())
    make_recipe(candle)
    assert expected(make_frame(candle, by=by)) == pytest.approx(0.6)


def test_it_grows_as_other_candles_of_its_wax_do(by):
    wax = make_wax()
    known, new = make_candle(wax=wax), make_candle(wax=wax)
    for _ in range(6):
        finish(known, 0.45, by)
    frame = make_frame(new, by=by)
    assert 0.45 <= expected(frame) < 0.50


def test_another_wax_says_nothing(by):
    for _ in range(6):
        finish(make_candle(wax=make_wax()), 0.45, by)
    assert expected(make_frame(make_candle(wax=make_wax()), by=by)) == pytest.approx(0.6)


def test_its_own_frames_go_before_its_wax(by):
    wax = make_wax()
    own, other = make_candle(wax=wax), make_candle(wax=wax)
    for _ in range(6):
        finish(other, 0.45, by)
        finish(own, 0.70, by)
    assert 0.65 < expected(make_frame(own, by=by)) <= 0.70


def test_it_costs_the_same_queries_for_one_frame_and_for_thirty(by, django_assert_num_queries):
    wax = make_wax()
    finish(make_candle(wax=wax), 0.5, by)
    candle = make_candle(wax=wax, base_mm=Decimal("20"))
    frames = [make_frame(candle, by=by)]
    with django_assert_num_queries(6):
        growing_of(frames)
    frames += [make_frame(candle, by=by) for _ in range(29)]
    with django_assert_num_queries(6):
        growing_of(frames)
