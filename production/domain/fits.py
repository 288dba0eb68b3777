"""Whether candles can be dipped in a vat: the right wax and colour, deep enough, and full enough. Lengths in mm."""

from django.core.exceptions import ValidationError

from production.models import Frame, Recipe, Stage, Vat
from production.queries.wax import bath_of
from production.wax_use import refuse_hanging


def recipe_of(candle) -> Recipe:
    """The candle's recipe. ValidationError where it has none: then nobody knows when it is done."""
    recipe = Recipe.objects.prefetch_related("stages__wax", "stages__colour").filter(candle=candle).first()
    if recipe is None or not recipe.stages.all():
        raise ValidationError(f"{candle} has no recipe yet. Write it under Set-up, Recipes.")
    return recipe


def stage_of(frame: Frame) -> Stage:
    """The stage of its recipe the frame is in; the last one where the recipe has been shortened since."""
    stages = list(recipe_of(frame.candle).stages.all())
    return next((stage for stage in stages if stage.place >= frame.stage), stages[-1])


def why_not_over(vat: Vat, frame: Frame, stage: Stage) -> str:
    """Why the frame cannot be dipped in this vat in that stage; empty where it can. The tip goes down first."""
    named = f"{frame.code} ({frame.candle})"
    if (vat.wax_id, vat.colour_id) != (stage.wax_id, stage.colour_id):
        return (
            f"{named} wants {stage.wax} in {stage.colour.name.lower()}; "
            f"{vat} holds {vat.wax} in {vat.colour.name.lower()}."
        )
    why = refuse_hanging(bath_of(vat), float(frame.candle.length_mm))
    return f"{named} over {vat}: {why}" if why else ""


def enter_next_stage(frame: Frame) -> bool:
    """A frame that is done with its stage enters the next, where there is one."""
    places = [stage.place for stage in recipe_of(frame.candle).stages.all() if stage.place > frame.stage]
    if frame.done and places:
        frame.stage, frame.stage_dips, frame.done = min(places), 0, False
        return True
    return False
