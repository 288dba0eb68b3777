"""Recipes as pages read them."""

from django.db.models import Prefetch, QuerySet

from inventory.models import Candle
from production.models import Frame, Recipe, Stage
from production.models.frame import HANGING, THREADED


def candles_with_recipes() -> QuerySet[Candle]:
    """The catalogue, each candle with its recipe and stages where it has one."""
    stages = Stage.objects.select_related("wax", "colour")
    rows = Candle.objects.filter(active=True).select_related("wax", "colour", "recipe")
    return rows.prefetch_related(Prefetch("recipe__stages", queryset=stages))


def without_recipe() -> int:
    """Candles of the catalogue nobody can dip yet."""
    return Candle.objects.filter(active=True, recipe=None).count()


def recipe_with_stages(candle: Candle) -> tuple[Recipe | None, list[Stage]]:
    recipe = Recipe.objects.filter(candle=candle).first()
    return recipe, list(recipe.stages.select_related("wax__heat", "colour")) if recipe else []


def dipped_by(candle: Candle) -> int:
    """Frames that wait for dips by the candle's recipe."""
    return Frame.objects.filter(candle=candle, state__in=(THREADED, HANGING)).count()
