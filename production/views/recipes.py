"""Recipes: every candle's, and one page a candle. Dippers read, the owner writes."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from config.roles import for_roles, works_as
from inventory.domain.set_up import said
from inventory.domain.versions import StaleVersion
from inventory.models import Candle
from inventory.queries.records import records_of
from inventory.tables.stockroom import RecordTable
from inventory.views.lists import listed
from inventory.words import counted, measure
from production.domain import recipes as domain
from production.forms.recipes import RecipeFilter, RecipeForm, make_stage_forms, rebuilt, stages_shown, typed_recipe
from production.models import Recipe
from production.queries.recipes import candles_with_recipes, dipped_by, recipe_with_stages, without_recipe
from production.tables.recipes import RecipeTable, StageTable, doubts_of_stage


@for_roles("dipper")
@require_safe
def recipes(request):
    narrowed, table = listed(request, RecipeTable, RecipeFilter, candles_with_recipes())
    missing, every = without_recipe(), Candle.objects.filter(active=True).count()
    context = {"filter": narrowed, "table": table, "missing": missing, "headline": _all_in_words(every, missing)}
    return render(request, "production/recipes.html", context)


@for_roles("owner")
@require_POST
def recipes_make(request):
    """A default recipe for every candle that has none."""
    made = domain.make_default_recipes(by=request.user)
    said_so = f"{counted(made, 'recipe')} made: look at each before you dip by it."
    messages.success(request, said_so if made else "Every candle has its recipe already.")
    return redirect("recipes")


@for_roles("dipper")
@require_http_methods(["GET", "HEAD", "POST"])
def recipe(request, pk: int):
    candle = get_object_or_404(Candle.objects.select_related("wax", "colour"), pk=pk)
    writes = works_as(request.user)
    if request.method != "POST":
        return _shown(request, candle, *(_forms(candle) if writes else ()))
    if not writes:
        raise PermissionDenied("The owner writes recipes.")
    if rows := rebuilt(request.POST):
        return _shown(request, candle, typed_recipe(request.POST, candle), rows)
    return _save(request, candle)


@for_roles("owner")
@require_POST
def recipe_delete(request, pk: int):
    candle = get_object_or_404(Candle.objects.select_related("wax", "colour"), pk=pk)
    try:
        domain.remove_recipe(candle=candle, by=request.user)
    except ValidationError as refused:
        return _shown(request, candle, *_forms(candle), refused=refused.messages, status=422)
    messages.success(request, f"{candle} has no recipe now.")
    return redirect("recipes")


def _save(request, candle):
    form = RecipeForm(request.POST, instance=Recipe(candle=candle))
    rows, theirs = make_stage_forms(request.POST), []
    if all([form.is_valid(), rows.is_valid()]):
        try:
            domain.save_recipe(
                candle=candle,
                version=form.cleaned_data["version"],
                values=form.values,
                stages=rows.stages(),
                by=request.user,
            )
        except StaleVersion as stale:
            form.add_error(None, stale)
            theirs = _stands(form, candle)
        except ValidationError as refused:
            _refuse(form, rows, refused)
        else:
            messages.success(request, f"The recipe of {candle} is written down.")
            return redirect("recipe", pk=candle.pk)
    return _shown(request, candle, form, rows, theirs=theirs, status=422)


def _refuse(form, rows, refused: ValidationError) -> None:
    """Each reason at its field: "stages-1-until_mm" is the second stage's."""
    if not hasattr(refused, "error_dict"):
        form.add_error(None, refused)
        return
    for name, errors in refused.error_dict.items():
        prefix, _, field = name.rpartition("-")
        row = next((row for row in rows if row.prefix == prefix), None)
        target, field = (row, field) if row else (form, name)
        target.add_error(field if field in target.fields else None, errors)


def _stands(form, candle) -> list[tuple[str, str]]:
    """What somebody else wrote meanwhile, and from now on the form stands against it."""
    stored, stages = recipe_with_stages(candle)
    if stored is None:
        form.data = form.data.copy()
        form.data["version"] = 0
        return [("recipe", "deleted")]
    form.see(stored)
    return [*said(stored, domain.FIELDS).items(), *((f"stage {row.place}", domain.tell_stage(row)) for row in stages)]


def _forms(candle):
    stored, stages = recipe_with_stages(candle)
    if stored is None:
        stored, stages = domain.default_recipe(candle)
        return RecipeForm(instance=stored, initial={"version": 0}), stages_shown(stages)
    return RecipeForm(instance=stored), stages_shown(stages)


def _shown(request, candle, form=None, rows=None, *, status=200, **more):
    stored, stages = recipe_with_stages(candle)
    context = {
        "candle": candle,
        "recipe": stored,
        "form": form,
        "rows": rows,
        "headline": _in_words(candle, stored, stages),
        "stages": StageTable(stages),
        "doubts": [f"Stage {row.place}: {doubt}" for row in stages for doubt in doubts_of_stage(row)],
        "hanging": dipped_by(candle),
        "records": RecordTable(records_of("recipe", candle.pk)),
    }
    return render(request, "production/recipe.html", {**context, **more}, status=status)


def _in_words(candle, stored, stages) -> str:
    if stored is None:
        return f"{candle} has no recipe yet; the candle itself suggests this one."
    dips = _dips(stored, stages)
    gauge = f"{measure(stored.gauge_low_mm)} to {measure(stored.gauge_high_mm)} mm"
    return f"{candle}: about {dips} dips bring it to {gauge}, then it hardens for {stored.harden_hours} hours."


def _dips(stored, stages) -> int:
    """Dips from the wick to the middle of the gauge, at the growth the recipe expects."""
    reached, dips = stored.start_mm, 0
    for stage in stages:
        if stage.finish_dips:
            dips += stage.finish_dips
            continue
        to = stage.until_mm or (stored.gauge_low_mm + stored.gauge_high_mm) / 2
        dips += max(0, round((to - reached) / stage.growth_mm))
        reached = to
    return dips


def _all_in_words(every: int, missing: int) -> str:
    if not every:
        return "No candle is in the catalogue yet."
    if not missing:
        return f"{'The one candle has its recipe' if every == 1 else f'All {every} candles have their recipe'}."
    waits = "waits for its" if missing == 1 else "wait for theirs"
    return f"{every - missing} of {counted(every, 'candle')} have a recipe; {missing} {waits}."
