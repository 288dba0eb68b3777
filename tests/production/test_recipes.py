"""Recipes: the default made from the candle, and what a written one may say."""

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from inventory.domain.versions import StaleVersion
from inventory.models import Record
from production.domain.recipes import (
    FIELDS,
    STAGE_FIELDS,
    default_recipe,
    make_default_recipes,
    remove_recipe,
    save_recipe,
)
from production.models import Recipe, Stage
from tests.factories import (
    make_candle,
    make_colour,
    make_frame,
    make_heat,
    make_person,
    make_recipe,
    make_stage,
    make_wax,
)

pytestmark = pytest.mark.django_db


def values_of(recipe) -> dict:
    return {name: getattr(recipe, name) for name in FIELDS}


def stages_of(stages) -> list[dict]:
    return [{name: getattr(stage, name) for name in STAGE_FIELDS} for stage in stages]


def written(candle=None, **changes):
    """A candle, and what its default recipe would be saved with; `changes` by stage number or field."""
    candle = candle or make_candle()
    recipe, stages = default_recipe(candle)
    values, rows = values_of(recipe), stages_of(stages)
    for name, value in changes.items():
        if name.startswith("stage"):
            rows[int(name[5])].update(value)
        else:
            values[name] = value
    return {"candle": candle, "version": 0, "values": values, "stages": rows, "by": make_person()}


def test_the_default_is_one_colour_and_a_hot_finish():
    wax = make_wax(name="Paraffin")
    make_heat(wax, congeals_c=Decimal("60"))
    recipe, (build, finish) = default_recipe(make_candle(wax=wax, base_mm=Decimal("22")))
    assert (recipe.gauge_low_mm, recipe.gauge_high_mm) == (Decimal("21.5"), Decimal("22.5"))
    assert (build.celsius, build.finish_dips, build.until_mm) == (70, 0, None)
    assert (finish.celsius, finish.finish_dips) == (82, 1)
    assert build.colour == finish.colour == recipe.candle.colour


def test_the_default_never_discolours_the_wax():
    wax = make_wax(name="Beeswax")
    make_heat(wax, congeals_c=Decimal("64"), flash_c=Decimal("204"), discolours_c=Decimal("85"))
    _, (build, finish) = default_recipe(make_candle(wax=wax))
    assert (build.celsius, finish.celsius) == (74, 85)


@pytest.mark.parametrize("base", ["3", "4.5", "12", "22", "60", "150"])
def test_the_default_can_be_saved_for_candles_of_every_size(base):
    candle = make_candle(base_mm=Decimal(base), tip_mm=Decimal("2"))
    assert save_recipe(**written(candle)).stages.count() == 2


def test_one_click_gives_every_candle_a_recipe_once():
    kept = make_recipe(make_candle())
    for _ in range(3):
        make_candle()
    make_candle(active=False)
    by = make_person()
    assert make_default_recipes(by=by) == 3
    assert make_default_recipes(by=by) == 0
    assert Recipe.objects.count() == 4
    assert Recipe.objects.get(candle=kept.candle) == kept
    assert Record.objects.filter(subject="recipe").count() == 3


def test_one_candle_may_be_named():
    one, _ = make_candle(), make_candle()
    assert make_default_recipes(by=make_person(), candles=[one.pk]) == 1
    assert Recipe.objects.get().candle == one


def test_a_recipe_is_saved_changed_and_on_record():
    given = written()
    recipe = save_recipe(**given)
    assert recipe.version == 1
    changed = {**given, "version": 1, "values": {**given["values"], "harden_hours": 48}}
    assert save_recipe(**changed).version == 2
    told = Record.objects.filter(subject="recipe", subject_id=given["candle"].pk).order_by("pk")
    assert "Recipe written down" in told[0].what
    assert "harden hours became 48, before 24" in told[1].what
    assert save_recipe(**{**changed, "version": 2}).version == 2
    assert told.count() == 2


def test_the_second_to_save_is_told():
    given = written()
    save_recipe(**given)
    with pytest.raises(StaleVersion):
        save_recipe(**given)


def test_a_white_core_with_a_coloured_over_dip():
    candle = make_candle()
    given = written(candle)
    core = {**given["stages"][0], "colour": make_colour(), "until_mm": Decimal("18")}
    given["stages"] = [core, *given["stages"]]
    places = list(save_recipe(**given).stages.values_list("place", "until_mm"))
    assert places == [(1, Decimal("18")), (2, None), (3, None)]


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"start_mm": Decimal("0")}, "__all__"),
        ({"start_mm": Decimal("22")}, "__all__"),
        ({"gauge_high_mm": Decimal("21")}, "__all__"),
        ({"gauge_low_mm": Decimal("10000")}, "gauge_low_mm"),
        ({"harden_hours": 241}, "harden_hours"),
        ({"harden_hours": None}, "harden_hours"),
        ({"firsts_good": 48}, "__all__"),
        ({"firsts_good": 0}, "__all__"),
        ({"firsts_of": 0}, "firsts_of"),
        ({"stage0": {"growth_mm": Decimal("0")}}, "stages-0-growth_mm"),
        ({"stage0": {"growth_mm": Decimal("4")}}, "stages-0-growth_mm"),
        ({"stage0": {"seconds_in": 0}}, "stages-0-seconds_in"),
        ({"stage0": {"seconds_in": 121}}, "stages-0-seconds_in"),
        ({"stage0": {"turn_minutes": Decimal("0.5")}}, "stages-0-turn_minutes"),
        ({"stage0": {"until_mm": Decimal("11")}}, "stages-0-until_mm"),
        ({"stage0": {"finish_dips": 2}}, "stages-0-finish_dips"),
        ({"stage1": {"finish_dips": 6}}, "stages-1-finish_dips"),
        ({"stage1": {"until_mm": Decimal("22")}}, "stages-1-until_mm"),
        ({"stage1": {"finish_dips": 0}}, "stages-0-until_mm"),
        ({"stage0": {"celsius": Decimal("90")}}, "stages-0-celsius"),
    ],
)
def test_what_cannot_be_dipped_is_refused_at_its_field(changes, field):
    given = written(**changes)
    with pytest.raises(ValidationError) as refused:
        save_recipe(**given)
    assert field in refused.value.error_dict
    assert not Recipe.objects.exists()


def test_a_stage_in_wax_that_would_set_is_refused():
    candle = make_candle()
    make_heat(candle.wax, congeals_c=Decimal("58"))
    with pytest.raises(ValidationError) as refused:
        save_recipe(**written(candle, stage0={"celsius": Decimal("58")}))
    assert "sets at 58 C" in refused.value.error_dict["stages-0-celsius"][0].messages[0]


@pytest.mark.parametrize("count", [0, 9])
def test_a_recipe_has_one_to_eight_stages(count):
    given = written()
    given["stages"] = given["stages"][:1] * count
    with pytest.raises(ValidationError):
        save_recipe(**given)


def test_stages_that_frames_have_begun_keep_their_wax_and_colour():
    candle = make_candle()
    recipe = save_recipe(**written(candle))
    frame = make_frame(candle, state="hanging", dips=3, stage_dips=3)
    values, rows = values_of(recipe), stages_of(recipe.stages.all())
    warmer = [{**rows[0], "celsius": Decimal("72")}, rows[1]]
    recipe = save_recipe(candle=candle, version=1, values=values, stages=warmer, by=make_person())
    redder = [{**rows[0], "colour": make_colour()}, rows[1]]
    between = {**rows[0], "colour": make_colour(), "until_mm": Decimal("9")}
    for stages in (redder, [between, *rows]):
        with pytest.raises(ValidationError, match=f"Frame {frame.code} hang"):
            save_recipe(candle=candle, version=2, values=values, stages=stages, by=make_person())
    assert recipe.stages.first().colour == candle.colour


def test_a_recipe_frames_are_dipped_by_cannot_be_deleted():
    recipe = make_recipe()
    frame = make_frame(recipe.candle, state="threaded")
    with pytest.raises(ValidationError, match=frame.code):
        remove_recipe(candle=recipe.candle, by=make_person())
    frame.state = "scrapped"
    frame.save()
    for _ in range(2):
        remove_recipe(candle=recipe.candle, by=make_person())
    assert not Recipe.objects.exists()


@pytest.mark.parametrize(
    "wrong",
    [
        {"start_mm": Decimal("0")},
        {"start_mm": Decimal("21.5")},
        {"gauge_high_mm": Decimal("21.5")},
        {"firsts_good": 48},
        {"firsts_good": 0},
    ],
)
def test_the_database_refuses_a_bare_wrong_recipe(wrong):
    candle = make_candle()
    with pytest.raises(IntegrityError), transaction.atomic():
        make_recipe(candle, **wrong)


@pytest.mark.parametrize(
    "wrong", [{"growth_mm": 0}, {"seconds_in": 0}, {"turn_minutes": Decimal("0.9")}, {"celsius": 0}, {"place": 0}]
)
def test_the_database_refuses_a_bare_wrong_stage(wrong):
    recipe = make_recipe()
    Stage.objects.all().delete()
    with pytest.raises(IntegrityError), transaction.atomic():
        make_stage(recipe, **wrong)


def test_the_database_keeps_one_stage_a_place():
    recipe = make_recipe()
    with pytest.raises(IntegrityError), transaction.atomic():
        make_stage(recipe, place=1)
