"""Dip runs: one carousel over one vat, rested, moved, ended; what comes too late is refused."""

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from production.domain.frames import hang_frame
from production.domain.runs import begin_run, end_run, move_run, pace_run, rest, resume
from production.domain.turns import count_turn, mark_done, next_stage, read_gauge
from production.models import DipRun, RunFrame
from tests.factories import make_candle, make_colour
from tests.factories.floor import make_carousel, make_frame, make_recipe, make_run, make_stage, make_vat
from tests.production.on_the_floor import NOON, make_floor
from tests.production.test_frames import refusal

pytestmark = pytest.mark.django_db


def test_runs_are_numbered_by_year():
    floor = make_floor(0)
    assert (floor.run.code, floor.run.counting, floor.run.started_by) == ("R2601", "tap", floor.by)
    other = begin_run(carousel=make_carousel(), vat=make_vat(), turn_minutes=Decimal(2), by=floor.by, now=NOON)
    assert other.code == "R2602"


def test_a_carousel_turns_over_one_vat_and_a_vat_under_one_carousel():
    floor = make_floor(0)
    values = {"turn_minutes": Decimal(4), "by": floor.by}
    said = refusal(begin_run, carousel=floor.carousel, vat=make_vat(), **values)
    assert said == "Carousel 2 is over Ivory vat in run R2601 already: end that run, or move it."
    said = refusal(begin_run, carousel=make_carousel(), vat=floor.vat, **values)
    assert said == "Carousel 2 turns over Ivory vat in run R2601: one carousel a vat."
    for fields in ({"carousel": floor.carousel}, {"vat": floor.vat}):
        with pytest.raises(IntegrityError), transaction.atomic():
            make_run(**fields)
    assert DipRun.objects.count() == 1


@pytest.mark.parametrize("minutes", ["0", "-4", "0.5", "241", "1000000000", "NaN"])
def test_turns_nobody_dips_by_are_refused(minutes):
    floor = make_floor(0)
    for call in (
        lambda **v: begin_run(carousel=make_carousel(), vat=make_vat(), **v),
        lambda **v: pace_run(run=floor.run, counting="tap", **v),
    ):
        assert "1 to 240 minutes" in refusal(call, turn_minutes=Decimal(minutes), by=floor.by)
    assert "By the clock or by tap" in refusal(
        pace_run, run=floor.run, counting="ear", turn_minutes=Decimal(4), by=floor.by
    )


def test_what_is_not_in_use_is_not_turned():
    floor = make_floor(0)
    values = {"turn_minutes": Decimal(4), "by": floor.by}
    assert "not in use" in refusal(begin_run, carousel=make_carousel(), vat=make_vat(active=False), **values)
    assert "not in use" in refusal(begin_run, carousel=make_carousel(active=False), vat=make_vat(), **values)


def test_a_closed_run_takes_nothing_more():
    floor = make_floor(1)
    end_run(run=floor.run, by=floor.by, now=NOON)
    frame = floor.frames[0]
    for call in (
        lambda: count_turn(run=floor.run, by=floor.by),
        lambda: read_gauge(frame=frame, mm=Decimal(8), by=floor.by),
        lambda: mark_done(frame=frame, by=floor.by),
        lambda: rest(run=floor.run, by=floor.by),
        lambda: end_run(run=floor.run, by=floor.by),
        lambda: pace_run(run=floor.run, counting="clock", turn_minutes=Decimal(4), by=floor.by),
        lambda: move_run(run=floor.run, vat=make_vat(), by=floor.by),
    ):
        assert "R2601 was ended on 25 November 2026 at 12:00" in refusal(call)
    free = make_frame(floor.candle)
    assert "No run is on" in refusal(hang_frame, frame=free, carousel=floor.carousel, position=2, by=floor.by)
    assert (floor.now(frame).dips, floor.run.steps.count()) == (0, 3)


def test_a_resting_run_counts_no_turn():
    floor = make_floor(1)
    rest(run=floor.run, by=floor.by)
    assert "rests: resume it first" in refusal(count_turn, run=floor.run, by=floor.by)
    assert "rests already" in refusal(rest, run=floor.run, by=floor.by)
    resume(run=floor.run, by=floor.by)
    assert "is turning already" in refusal(resume, run=floor.run, by=floor.by)
    count_turn(run=floor.run, by=floor.by)
    assert floor.now(floor.run).turns == 1


def test_what_hangs_goes_into_the_next_run():
    floor = make_floor(2)
    count_turn(run=floor.run, by=floor.by)
    end_run(run=floor.run, by=floor.by)
    run = begin_run(carousel=floor.carousel, vat=floor.vat, turn_minutes=Decimal(4), by=floor.by)
    count_turn(run=run, by=floor.by)
    dips = RunFrame.objects.order_by("run__pk", "frame__pk").values_list("run__code", "frame__code", "dips")
    assert list(dips) == [("R2601", "F7", 1), ("R2601", "F8", 1), ("R2602", "F7", 1), ("R2602", "F8", 1)]


def make_core_and_coat():
    """A floor whose one frame has a white core, done, before its ivory coat."""
    floor = make_floor(0)
    core = make_vat(name="White vat", colour=make_colour(name="White"))
    recipe = make_recipe(make_candle())
    make_stage(recipe, place=2, colour=floor.vat.colour)
    recipe.stages.filter(place=1).update(colour=core.colour, until_mm=Decimal(12))
    end_run(run=floor.run, by=floor.by)
    floor.run = begin_run(carousel=floor.carousel, vat=core, turn_minutes=Decimal(4), by=floor.by)
    frame = make_frame(recipe.candle, recipe=False, code="F30")
    hang_frame(frame=frame, carousel=floor.carousel, position=1, by=floor.by)
    count_turn(run=floor.run, by=floor.by)
    floor.frames = [floor.now(frame)]
    return floor


def test_a_carousel_moves_to_another_vat_between_stages():
    floor = make_core_and_coat()
    mark_done(frame=floor.frames[0], by=floor.by)
    new = move_run(run=floor.run, vat=floor.vat, by=floor.by)
    frame = floor.now(floor.frames[0])
    assert (frame.stage, frame.dips, frame.stage_dips, frame.done) == (2, 1, 0, False)
    assert floor.now(floor.run).ended_at
    assert (new.vat, new.carousel, new.turn_minutes) == (floor.vat, floor.carousel, Decimal(4))
    assert "moved over Ivory vat" in floor.run.steps.first().reason


def test_a_frame_in_the_middle_of_a_stage_keeps_the_carousel_where_it_is():
    floor = make_core_and_coat()
    said = refusal(move_run, run=floor.run, vat=floor.vat, by=floor.by)
    assert "F30" in said
    assert "white" in said
    assert not floor.now(floor.run).ended_at
    assert DipRun.objects.count() == 2


def test_the_next_stage_over_the_same_vat_and_not_over_another():
    floor = make_floor(1)
    next_stage(frame=floor.frames[0], by=floor.by)
    assert floor.now(floor.frames[0]).stage == 2
    assert "last stage" in refusal(next_stage, frame=floor.frames[0], by=floor.by)
    floor = make_core_and_coat_elsewhere(floor)
    assert "wants" in refusal(next_stage, frame=floor.frames[0], by=floor.by)


def make_core_and_coat_elsewhere(floor):
    end_run(run=floor.run, by=floor.by)
    recipe = make_recipe(make_candle())
    make_stage(recipe, place=2, colour=make_colour(name="Moss"))
    floor.run = begin_run(carousel=make_carousel(), vat=floor.vat, turn_minutes=Decimal(4), by=floor.by)
    frame = make_frame(recipe.candle, recipe=False)
    hang_frame(frame=frame, carousel=floor.run.carousel, position=1, by=floor.by)
    floor.frames = [frame]
    return floor


def test_a_refused_begin_leaves_nothing_behind():
    floor = make_core_and_coat()
    end_run(run=floor.run, by=floor.by)
    with pytest.raises(ValidationError):
        begin_run(carousel=floor.carousel, vat=floor.vat, turn_minutes=Decimal(4), by=floor.by)
    assert not DipRun.objects.filter(ended_at=None).exists()
