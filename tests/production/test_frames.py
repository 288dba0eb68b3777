"""Frames are threaded for wants or the shelf, hung where they fit, taken off, scrapped."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from inventory.models import Record
from production.domain.frames import hang_frame, scrap_frame, take_off, thread_frame
from production.domain.runs import begin_run, end_run
from production.domain.turns import count_turn, mark_done
from production.models import Frame, HungFor, RunFrame, Step
from tests.factories import make_candle, make_colour, make_person
from tests.factories.floor import (
    make_carousel,
    make_frame,
    make_frame_kind,
    make_recipe,
    make_stage,
    make_vat,
    make_want,
)
from tests.production.on_the_floor import NOON, make_floor

pytestmark = pytest.mark.django_db


def thread(candle=None, hung=48, wants=None, **fields):
    candle = candle or make_candle()
    if not hasattr(candle, "recipe"):
        make_recipe(candle)
    values = {"kind": make_frame_kind(), "by": make_person("dipper"), **fields}
    return thread_frame(candle=candle, hung=hung, wants=wants, **values)


def refusal(call, *arguments, **options) -> str:
    with pytest.raises(ValidationError) as refused:
        call(*arguments, **options)
    return " ".join(refused.value.messages)


def test_frames_are_numbered_and_hang_for_wants():
    candle = make_candle()
    lamp, ossel = make_want(candle, 24, for_whom="The Lamp Room"), make_want(candle, 30, for_whom="Ossel Gifts")
    frame = thread(candle, wants={lamp: 24, ossel.pk: 12})
    assert (frame.code, frame.hung, frame.hung_for, frame.state) == ("F1", 48, 36, "threaded")
    assert dict(frame.promises.values_list("want", "pairs")) == {lamp.pk: 24, ossel.pk: 12}
    assert thread(candle).code == "F2"
    assert "36 of them for orders" in Record.objects.filter(subject="frame", subject_id=frame.pk).get().what


def test_no_more_is_promised_than_is_sure_enough():
    candle = make_candle()
    want = make_want(candle, 48)
    said = refusal(thread, candle, wants={want: 48})
    assert "48 pairs hung are counted on for" in said
    assert "firsts, and 48 are asked of them" in said
    assert not Frame.objects.exists()
    assert not HungFor.objects.exists()


def test_a_want_is_hung_for_once():
    candle = make_candle()
    want = make_want(candle, 30, for_whom="The Lamp Room")
    thread(candle, wants={want: 20})
    assert "The Lamp Room waits for 10 pairs more, not for 20" in refusal(thread, candle, wants={want: 20})
    thread(candle, wants={want: 10})
    assert "waits for 0 pairs more" in refusal(thread, candle, wants={want: 1})


def test_another_candles_want_and_one_that_is_gone_are_refused():
    want = make_want(make_candle(), 10)
    assert "wants another candle" in refusal(thread, make_candle(), wants={want: 5})
    want.delete()
    assert "no longer needs" in refusal(thread, make_candle(), wants={10**6: 5})
    assert "below nought" in refusal(thread, make_candle(), wants={10**6: -1})


@pytest.mark.parametrize("hung", [0, -1, 501, 10**9, None, "48"])
def test_pairs_nobody_hangs_are_refused(hung):
    assert "Between 1 and 500" in refusal(thread, hung=hung)


def test_a_candle_without_recipe_is_not_threaded():
    said = refusal(
        thread_frame, candle=make_candle(), kind=make_frame_kind(), hung=4, wants=None, by=make_person("dipper")
    )
    assert "has no recipe yet" in said


def test_a_frame_is_hung_once():
    floor = make_floor(1)
    frame, other = floor.frames[0], make_carousel(name="Carousel 3")
    begin_run(carousel=other, vat=make_vat(), turn_minutes=Decimal(4), by=floor.by)
    for carousel, position in ((floor.carousel, 2), (other, 1)):
        said = refusal(hang_frame, frame=frame, carousel=carousel, position=position, by=floor.by)
        assert said == "F7 hangs on Carousel 2 at position 1 already."
    assert floor.now(frame).position == 1


@pytest.mark.parametrize("state", ["off", "graded", "scrapped"])
def test_a_frame_that_is_finished_is_not_hung_again(state):
    floor = make_floor(0)
    frame = make_frame(floor.candle, state=state)
    assert "cannot be hung again" in refusal(hang_frame, frame=frame, carousel=floor.carousel, position=1, by=floor.by)


@pytest.mark.parametrize("position", [0, -1, 7, 10**9])
def test_positions_the_carousel_has_not_are_refused(position):
    floor = make_floor(0)
    said = refusal(hang_frame, frame=make_frame(floor.candle), carousel=floor.carousel, position=position, by=floor.by)
    assert said == "Carousel 2 has positions 1 to 6."


def test_a_taken_position_is_refused_by_the_rule_and_by_the_table():
    floor = make_floor(1)
    frame = make_frame(floor.candle)
    said = refusal(hang_frame, frame=frame, carousel=floor.carousel, position=1, by=floor.by)
    assert said == "F7 hangs at position 1 already."
    with pytest.raises(IntegrityError), transaction.atomic():
        make_frame(floor.candle, state="hanging", carousel=floor.carousel, position=1)


def test_nothing_hangs_without_a_run():
    carousel = make_carousel(name="Carousel 5")
    frame = make_frame()
    assert "No run is on at Carousel 5" in refusal(hang_frame, frame=frame, carousel=carousel, position=1, by=None)


@pytest.mark.parametrize(
    ("vat", "candle", "why"),
    [
        ({}, {"colour": "moss"}, "Ivory vat holds"),
        ({"depth_mm": 260}, {}, "too shallow"),
        ({"level_mm": Decimal("300")}, {}, "too low"),
    ],
)
def test_a_vat_that_does_not_fit_is_refused(vat, candle, why):
    floor = make_floor(0)
    type(floor.vat).objects.filter(pk=floor.vat.pk).update(**vat)
    other = make_candle(colour=make_colour(name="Moss")) if candle else floor.candle
    frame = make_frame(other)
    said = refusal(hang_frame, frame=frame, carousel=floor.carousel, position=1, by=floor.by)
    assert why in said, said
    assert floor.now(frame).state == "threaded"


def test_a_frame_joins_in_mid_run_and_another_leaves():
    floor = make_floor(1)
    count_turn(run=floor.run, by=floor.by)
    late = make_frame(floor.candle, code="F9")
    hang_frame(frame=late, carousel=floor.carousel, position=4, by=floor.by)
    count_turn(run=floor.run, by=floor.by)
    take_off(frame=floor.frames[0], by=floor.by)
    count_turn(run=floor.run, by=floor.by)
    assert dict(RunFrame.objects.values_list("frame__code", "dips")) == {"F7": 2, "F9": 2}
    assert floor.now(floor.run).turns == 3


def test_a_finished_frame_hardens_by_its_recipe():
    floor = make_floor(1)
    count_turn(run=floor.run, by=floor.by)
    step = take_off(frame=floor.frames[0], by=floor.by, now=NOON)
    frame = floor.now(floor.frames[0])
    assert (frame.state, frame.carousel, frame.position, frame.off_at) == ("off", None, None, NOON)
    assert frame.hard_at == NOON + timedelta(hours=24)
    assert (step.kind, step.person, step.at) == ("take off", floor.by, NOON)


def test_a_frame_set_aside_half_dipped_is_hung_again():
    floor = make_floor(1)
    frame = floor.frames[0]
    count_turn(run=floor.run, by=floor.by)
    take_off(frame=frame, finished=False, by=floor.by)
    assert floor.now(frame).state == "threaded"
    hang_frame(frame=frame, carousel=floor.carousel, position=3, by=floor.by)
    count_turn(run=floor.run, by=floor.by)
    frame = floor.now(frame)
    assert (frame.position, frame.dips, RunFrame.objects.get().dips) == (3, 2, 2)


def test_an_undipped_frame_is_not_finished():
    floor = make_floor(1)
    assert "never dipped" in refusal(take_off, frame=floor.frames[0], by=floor.by)


def test_a_frame_is_taken_off_once():
    floor = make_floor(1)
    count_turn(run=floor.run, by=floor.by)
    take_off(frame=floor.frames[0], by=floor.by)
    assert "hangs on no carousel" in refusal(take_off, frame=floor.frames[0], by=floor.by)
    assert Step.objects.filter(kind="take off").count() == 1


def test_what_hangs_comes_down_after_the_run_was_ended():
    floor = make_floor(1)
    count_turn(run=floor.run, by=floor.by)
    end_run(run=floor.run, by=floor.by)
    take_off(frame=floor.frames[0], by=floor.by)
    assert floor.now(floor.frames[0]).state == "off"


def test_a_core_done_elsewhere_enters_its_coat_when_it_is_hung():
    """A white core is dipped, set aside, and hung on another carousel over ivory."""
    floor = make_floor(0)
    core = make_vat(name="White vat", colour=make_colour(name="White"))
    recipe = make_recipe(make_candle(), start_mm=Decimal(2))
    make_stage(recipe, place=2, colour=floor.vat.colour)
    recipe.stages.filter(place=1).update(colour=core.colour, until_mm=Decimal(12))
    frame, white = make_frame(recipe.candle, recipe=False), make_carousel(name="Carousel 1")
    run = begin_run(carousel=white, vat=core, turn_minutes=Decimal(4), by=floor.by)
    hang_frame(frame=frame, carousel=white, position=1, by=floor.by)
    count_turn(run=run, by=floor.by)
    mark_done(frame=frame, by=floor.by)
    take_off(frame=frame, finished=False, by=floor.by)
    hang_frame(frame=frame, carousel=floor.carousel, position=1, by=floor.by)
    frame = floor.now(frame)
    assert (frame.stage, frame.dips, frame.stage_dips, frame.done) == (2, 1, 0, False)


def test_a_scrapped_frame_lets_its_orders_go():
    candle = make_candle()
    want = make_want(candle, 20)
    frame = thread(candle, wants={want: 20})
    by = make_person("dipper")
    assert "Say why" in refusal(scrap_frame, frame=frame, reason=" ", by=by)
    scrap_frame(frame=frame, reason="Dropped.", by=by)
    frame = Frame.objects.get()
    assert (frame.state, frame.hung_for, HungFor.objects.count()) == ("scrapped", 0, 0)
    assert "20 pairs are wanted again" in Record.objects.filter(subject="frame").first().what
    assert "only a frame off the carousel" in refusal(scrap_frame, frame=frame, reason="Again.", by=by)
