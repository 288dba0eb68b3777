"""The floor's part of tests/every_page.py: a row for each of its addresses."""

from datetime import timedelta

from django.utils import timezone

from production.domain.grading import grade_frame
from production.domain.own_wants import add_own_want
from production.models import DayOff, PlanPin, Vat, WorkingDay
from tests.factories import make_candle
from tests.factories.floor import (
    make_carousel,
    make_change_over,
    make_frame,
    make_frame_kind,
    make_heat,
    make_hours,
    make_reading,
    make_recipe,
    make_run,
    make_vat,
)
from tests.factories.season import Season
from tests.production.standing_plan import let_a_plan_stand, make_search


def floor_rows(season: Season) -> dict[str, dict]:
    """kwargs by the names of the floor's addresses: a run with a frame at it, one to grade, one graded."""
    by, candle = season.by, season.candle
    make_hours()
    heat = make_heat(candle.wax)
    recipe = make_recipe(candle)
    vat, carousel, kind = make_vat(wax=candle.wax, colour=candle.colour), make_carousel(), make_frame_kind()
    want = season.short.lines.get().want
    hanging = make_frame(candle, "hanging", {want: 12}, by, carousel=carousel, kind=kind, dips=12, stage_dips=12)
    make_run(carousel, vat, [hanging], by)
    make_reading(hanging, "9.4", by)
    off_at = timezone.now() - timedelta(days=3)
    to_grade, graded = (
        make_frame(candle, "off", by=by, kind=kind, hung=48, off_at=off_at, hard_at=off_at + timedelta(days=1))
        for _ in range(2)
    )
    grading = grade_frame(frame=graded, version=graded.version, firsts=45, seconds={"bent": 2}, remelt=1, by=by)
    own = add_own_want(candle=make_candle(), pairs=24, wanted_by=timezone.localdate() + timedelta(days=9), by=by)
    day_off = DayOff.objects.create(day=timezone.localdate() + timedelta(days=30))
    of_carousel = ("carousel", "run_begin", "run_turn", "run_rest", "run_resume", "run_end", "run_move", "run_pace",
                   "run_undo", "hang", "set_right", "carousel_setup", "carousel_setup_delete")  # fmt: skip
    of_vat = ("vat", "vat_edit", "vat_delete", "vat_heat", "vat_level", "vat_top_up", "vat_thermostat",
              "vat_change_over")  # fmt: skip
    rows = {
        **_of_the_plan(season),
        **dict.fromkeys(of_carousel, carousel),
        **dict.fromkeys(of_vat, vat),
        **dict.fromkeys(("reading", "frame_off", "frame_done", "frame_stage", "frame_scrap"), hanging),
        **dict.fromkeys(("frame", "grade"), to_grade),
        **dict.fromkeys(("own_want", "own_want_drop"), own),
        # A recipe is asked for by its candle.
        **dict.fromkeys(("recipe", "recipe_delete"), recipe.candle),
        **dict.fromkeys(("frame_kind", "frame_kind_delete", "frame_kind_pairs"), kind),
        **dict.fromkeys(("working_day", "working_day_delete"), WorkingDay.objects.first()),
        **dict.fromkeys(("day_off", "day_off_delete"), day_off),
        **dict.fromkeys(("wax_heat", "wax_heat_delete"), heat),
        "grading_correct": graded,
        "lot_origin": grading.lot,
    }
    return {name: {"pk": row.pk} for name, row in rows.items()}


def _of_the_plan(season: Season) -> dict[str, object]:
    """A plan that stands, one that was found, a trial, a pin."""
    now, by = timezone.now(), season.by
    add_own_want(candle=season.candle, pairs=200, wanted_by=timezone.localdate() + timedelta(days=9), by=by)
    plan = let_a_plan_stand(by, now)
    found, trial = make_search(by, now=now), make_search(by, now=now, what_if={"hands": 1})
    pin = PlanPin.objects.create(
        vat=Vat.objects.first(), day=timezone.localdate() + timedelta(days=1), half=1, wax=season.candle.wax,
        colour=season.candle.colour, made_at=now, made_by=by,
    )  # fmt: skip
    of_search = ("dip_plan_found", "dip_plan_again", "dip_plan_cancel", "dip_plan_take")
    return {
        **dict.fromkeys(of_search, found),
        **dict.fromkeys(("change_over_time", "change_over_time_delete"), make_change_over()),
        "dip_plan_frame": plan.frames.first(),
        "dip_plan_unpin": pin,
        "dip_plan_trial": trial,
    }
