"""Wax that new frames can be dipped in: by the lots where a wax has a blend, else as typed under Wax heat."""

from collections import Counter
from collections.abc import Iterable

from inventory.models import BlendPart, Wax
from production.models import Recipe, WaxHeat
from production.queries.growing import stage_end
from production.queries.needs import held_of
from production.queries.on_floor import living_frames
from production.wax_drawn import frame_grams, share_out
from production.wax_in_hand import InHand, Part, by_lots


def waxes_in_hand(keys: Iterable[int]) -> dict[int, InHand]:
    """By wax, in the order of their keys: grams besides what stands in the vats and what frames on the floor take.

    Two queries where no wax has a blend, ten else. Our own remelt is left out: it is good for one colour only.
    """
    waxes = list(Wax.objects.filter(pk__in=set(keys)).select_related("heat").order_by("pk"))
    blends: dict[int, list[BlendPart]] = {}
    for part in BlendPart.objects.filter(wax__in=waxes).select_related("material__supplier"):
        blends.setdefault(part.wax_id, []).append(part)
    held = held_of({part.material for parts in blends.values() for part in parts}) if blends else {}
    taken = wax_of_living_frames() if blends else {}
    return {wax.pk: _in_hand(wax, blends.get(wax.pk), held, taken) for wax in waxes}


def wax_heats() -> list[WaxHeat]:
    """What each wax bears, by name, each with `in_hand`."""
    rows = list(WaxHeat.objects.select_related("wax").order_by("wax__name"))
    in_hand = waxes_in_hand(row.wax_id for row in rows)
    for row in rows:
        row.in_hand = in_hand[row.wax_id]
    return rows


def _in_hand(wax: Wax, blend: list[BlendPart] | None, held, taken) -> InHand:
    if blend:
        parts = [
            Part(row.material.name, held[row.material_id].on_hand - held[row.material_id].in_vats, row.percent)
            for row in blend
        ]
        return by_lots(wax.name, parts, taken.get(wax.pk, 0))
    heat = getattr(wax, "heat", None)
    known = heat is not None and heat.in_hand_kg is not None
    return InHand(wax.name, int(heat.in_hand_kg * 1000) if known else None)


def wax_of_living_frames() -> Counter[int]:
    """By wax: grams that frames threaded, hanging or hardening will draw when they are counted off. Three queries."""
    frames = list(living_frames().select_related("candle__wax"))
    recipes = Recipe.objects.filter(candle__in={frame.candle_id for frame in frames}).prefetch_related("stages")
    by_candle = {recipe.candle_id: recipe for recipe in recipes}
    found: Counter[int] = Counter()
    for frame in frames:
        grams, recipe = frame_grams(frame.hung, frame.candle.grams_a_pair), by_candle.get(frame.candle_id)
        for wax, part in _by_stage(grams, recipe) if recipe else [(frame.candle.wax_id, grams)]:
            found[wax] += part
    return found


def _by_stage(grams: int, recipe: Recipe) -> list[tuple[int, int]]:
    """(wax, grams) of each stage, by the rings from where it begins to where it ends."""
    stages, before, rings = list(recipe.stages.all()), float(recipe.start_mm), []
    for n, stage in enumerate(stages):
        build = 0 if stage.finish_dips else stage_end(recipe, stage, stages[n + 1 :]) - before
        after = before + max(0.0, build) + float(stage.growth_mm) * stage.finish_dips
        rings.append(after**2 - before**2)
        before = after
    return [(stage.wax_id, part) for stage, part in zip(stages, share_out(grams, rings) if rings else (), strict=True)]
