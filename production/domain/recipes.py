"""Recipes: how each candle is dipped, stage by stage."""

from collections.abc import Sequence
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from inventory.domain.records import record
from inventory.domain.set_up import said, tell, told_changes
from inventory.domain.versions import check_version
from inventory.models import Candle
from inventory.words import counted, measure
from production.models import Frame, Recipe, Stage, WaxHeat
from production.models.frame import HANGING, THREADED
from production.stages import HOTTEST_STAGE, Heat, usual_celsius, usual_gauge

FIELDS = ("start_mm", "gauge_low_mm", "gauge_high_mm", "harden_hours", "firsts_good", "firsts_of")
STAGE_FIELDS = ("wax", "colour", "celsius", "growth_mm", "seconds_in", "turn_minutes", "until_mm", "finish_dips")
MOST_STAGES = 8
FINISH_GROWTH = Decimal("0.200")  # hotter wax leaves a thinner coat (D8)


def heat_of(wax, heats: dict[int, WaxHeat] | None = None) -> Heat:
    """What is known of a wax's heat. `heats` by wax id spares the query."""
    row = WaxHeat.objects.filter(wax=wax).first() if heats is None else heats.get(wax.pk)
    return Heat(row.congeals_c, row.discolours_c) if row else Heat()


def default_recipe(candle: Candle, heats: dict[int, WaxHeat] | None = None) -> tuple[Recipe, list[Stage]]:
    """A sensible recipe made from the candle, not saved: one colour all through, and one hot dip for the gloss."""
    low, high = usual_gauge(candle.base_mm)
    recipe = Recipe(candle=candle, gauge_low_mm=low, gauge_high_mm=high)
    recipe.start_mm = min(recipe.start_mm, (low / 2).quantize(Decimal("0.1")))
    heat = heat_of(candle.wax, heats)
    same = {"recipe": recipe, "wax": candle.wax, "colour": candle.colour}
    build = Stage(place=1, celsius=usual_celsius(heat), **same)
    finish = Stage(place=2, celsius=usual_celsius(heat, finish=True), finish_dips=1, growth_mm=FINISH_GROWTH, **same)
    return recipe, [build, finish]


@transaction.atomic
def save_recipe(*, candle: Candle, version: int, values: dict, stages: Sequence[dict], by) -> Recipe:
    """Write a candle's recipe; `version` 0 makes it. `values` by FIELDS, each stage by STAGE_FIELDS, in their order.

    StaleVersion where somebody was quicker. ValidationError by field, a stage's as "stages-0-until_mm".
    """
    Candle.objects.select_for_update(of=("self",)).get(pk=candle.pk)
    recipe = Recipe.objects.filter(candle=candle).first()
    fresh = recipe is None
    recipe = recipe or Recipe(candle=candle, version=0)
    check_version(recipe, version)
    before = {} if fresh else _said(recipe, recipe.stages.select_related("wax", "colour"))
    for name in FIELDS:
        setattr(recipe, name, values[name])
    rows = [Stage(place=place, **stage) for place, stage in enumerate(stages, start=1)]
    _check(recipe, rows)
    if not fresh:
        _refuse_under_way(recipe, rows)
    changed = "" if fresh else _changes(before, _said(recipe, rows))
    if not fresh and not changed:
        return recipe
    recipe.version += 1
    _write(recipe, rows)
    _record(recipe, changed or f"Recipe written down: {tell_recipe(rows)}", by)
    return recipe


@transaction.atomic
def make_default_recipes(*, by, candles: Sequence[int] | None = None) -> int:
    """A default recipe for each of the candles (ids; else the catalogue) that has none. How many."""
    rows = Candle.objects.filter(active=True) if candles is None else Candle.objects.filter(pk__in=candles)
    locked = list(rows.select_related("wax", "colour").select_for_update(of=("self",)).order_by("pk"))
    # Read after the lock: two owners who press at once make one recipe a candle.
    have = set(Recipe.objects.filter(candle__in=locked).values_list("candle", flat=True))
    heats = {heat.wax_id: heat for heat in WaxHeat.objects.all()}
    made = [default_recipe(candle, heats) for candle in locked if candle.pk not in have]
    for recipe, stages in made:
        _write(recipe, stages)
        _record(recipe, f"Recipe made from the candle: {tell_recipe(stages)}", by)
    if made:
        tell(f"{counted(len(made), 'recipe')} made from the candles", by)
    return len(made)


@transaction.atomic
def remove_recipe(*, candle: Candle, by) -> None:
    """Take a recipe away. ValidationError while frames are threaded or dipped by it; gone already is no error."""
    Candle.objects.select_for_update(of=("self",)).get(pk=candle.pk)
    recipe = Recipe.objects.filter(candle=candle).first()
    if recipe is None:
        return
    if frames := list(Frame.objects.filter(candle=candle, state__in=(THREADED, HANGING)).order_by("pk")):
        raise ValidationError(f"The recipe stays: {named(frames)} wait for dips by it.")
    _record(recipe, "Recipe deleted", by)
    recipe.delete()


def tell_recipe(stages) -> str:
    """The stages in one line: "Paraffin in ivory at 70 C until 11 mm; then ..."."""
    return "; then ".join(tell_stage(stage) for stage in stages)


def tell_stage(stage: Stage) -> str:
    until = f"until {measure(stage.until_mm)} mm" if stage.until_mm else "until the gauge"
    if stage.finish_dips:
        until = counted(stage.finish_dips, "finish dip")
    return (
        f"{stage.wax} in {stage.colour.name.lower()} at {measure(stage.celsius)} C, "
        f"{measure(stage.growth_mm)} mm a dip, {stage.seconds_in} s in, "
        f"{measure(stage.turn_minutes)} min a turn, {until}"
    )


def named(frames: Sequence[Frame]) -> str:
    """ "frames F7 and F8", the first few of many."""
    codes = [frame.code for frame in frames[:5]]
    more = f" and {len(frames) - 5} more" if len(frames) > 5 else ""
    listed = ", ".join(codes) if more else " and ".join(filter(None, [", ".join(codes[:-1]), codes[-1]]))
    return f"frame{'' if len(frames) == 1 else 's'} {listed}{more}"


def _said(recipe: Recipe, stages) -> dict[str, str]:
    """Every field in words, a stage's under "stage 1 wax"."""
    words = said(recipe, FIELDS)
    for stage in stages:
        words |= {f"stage {stage.place} {name}": value for name, value in said(stage, STAGE_FIELDS).items()}
    return words


def _changes(before: dict[str, str], after: dict[str, str]) -> str:
    names = dict.fromkeys([*before, *after], "nothing")
    return told_changes("Recipe", {**names, **before}, {**names, **after})


def _write(recipe: Recipe, stages: list[Stage]) -> None:
    try:
        with transaction.atomic():
            recipe.save()
    except IntegrityError:
        recipe.full_clean()
        raise
    recipe.stages.all().delete()
    for stage in stages:
        stage.recipe = recipe
    Stage.objects.bulk_create(stages)


def _record(recipe: Recipe, what: str, by) -> None:
    if what:
        record(subject="recipe", subject_id=recipe.candle_id, what=what, by=by)


def _check(recipe: Recipe, stages: list[Stage]) -> None:
    """Every refusal at once, each at its field."""
    wrong: dict = {}
    try:
        recipe.full_clean()
    except ValidationError as refused:
        wrong.update(refused.error_dict)
    if not 1 <= len(stages) <= MOST_STAGES:
        wrong["__all__"] = [f"A recipe has 1 to {MOST_STAGES} stages."]
    for number, stage in enumerate(stages):
        try:
            stage.full_clean(exclude=["recipe"])
        except ValidationError as refused:
            wrong.update({f"stages-{number}-{name}": errors for name, errors in refused.error_dict.items()})
    wrong = wrong or _check_order(recipe, stages) or _check_heat(stages)
    if wrong:
        raise ValidationError(wrong)


def _check_order(recipe: Recipe, stages: list[Stage]) -> dict:
    """Stages grow from the wick to the gauge; a finish comes last, after something to finish."""
    wrong = {}
    build = [stage for stage in stages if not stage.finish_dips]
    if not build:
        return {"stages-0-finish_dips": "A finish has nothing to finish: the first stage builds the candle up."}
    reached = recipe.start_mm
    for number, stage in enumerate(stages):
        last = stage is build[-1]
        if stage.finish_dips:
            if number != len(stages) - 1:
                wrong[f"stages-{number}-finish_dips"] = "Only the last stage is a finish."
            elif stage.until_mm:
                wrong[f"stages-{number}-until_mm"] = "A finish is a number of dips: leave this empty."
        elif last and stage.until_mm:
            wrong[f"stages-{number}-until_mm"] = (
                "The last stage before the finish goes on to the gauge: leave it empty."
            )
        elif not last and not stage.until_mm:
            wrong[f"stages-{number}-until_mm"] = "Until how many mm, before the next stage begins?"
        elif not last and not reached < stage.until_mm < recipe.gauge_low_mm:
            wrong[f"stages-{number}-until_mm"] = (
                f"Between {measure(reached)} and {measure(recipe.gauge_low_mm)} mm, where the gauge begins."
            )
        reached = stage.until_mm or reached
    return wrong


def _check_heat(stages: list[Stage]) -> dict:
    """No stage in wax that would set, nor hotter than any thermostat of a vat is set."""
    heats = {heat.wax_id: heat for heat in WaxHeat.objects.filter(wax__in=[stage.wax_id for stage in stages])}
    wrong = {}
    for number, stage in enumerate(stages):
        heat = heats.get(stage.wax_id)
        if heat and stage.celsius <= heat.congeals_c:
            wrong[f"stages-{number}-celsius"] = f"{stage.wax} sets at {measure(heat.congeals_c)} C: hotter than that."
        if stage.celsius > HOTTEST_STAGE:
            wrong[f"stages-{number}-celsius"] = f"At most {HOTTEST_STAGE} C: no vat's thermostat is set higher."
    return wrong


def _refuse_under_way(recipe: Recipe, rows: list[Stage]) -> None:
    """The stages frames have begun stay what they are: their figures may change, wax, colour and order may not."""
    under_way = Frame.objects.filter(candle=recipe.candle, state__in=(THREADED, HANGING), dips__gt=0)
    frames = list(under_way.order_by("pk"))
    if not frames:
        return
    furthest = max(frame.stage for frame in frames)
    kinds = [(stage.wax_id, stage.colour_id, bool(stage.finish_dips)) for stage in recipe.stages.all()][:furthest]
    if [(row.wax_id, row.colour_id, bool(row.finish_dips)) for row in rows][:furthest] != kinds:
        raise ValidationError(
            f"F{named(frames)[1:]} hang in stage {furthest} of this recipe: wax, colour and order of the "
            "stages up to it stay until they are off. Temperatures, growth and times may change."
        )
