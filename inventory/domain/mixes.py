"""What a wax is blended of and a colour is dyed with: written down as a whole, so that a blend always makes 100 %."""

from collections.abc import Mapping
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import transaction

from inventory.domain.set_up import tell
from inventory.domain.versions import CHANGED, StaleVersion
from inventory.material_words import mix_in_words
from inventory.models import BlendPart, Colour, DyePart, Material, Wax
from inventory.models.material import DYE, WAX

ALL = Decimal(100)


def blend_of(wax: Wax) -> dict[Material, Decimal]:
    """Materials with their share by weight in per cent, the largest first."""
    return {part.material: part.percent for part in wax.blend.select_related("material")}


def dyes_of(colour: Colour) -> dict[Material, Decimal]:
    """Dyes with their grams to a kilogram of wax."""
    return {part.material: part.grams_a_kilo for part in colour.dyes.select_related("material").order_by("pk")}


def seen_of(mix: Mapping[Material, Decimal]) -> str:
    """What a form made from this mix has seen of it: "3:80;5:20"."""
    return ";".join(f"{material.pk}:{figure.normalize():f}" for material, figure in sorted(mix.items(), key=_key))


def _key(row) -> int:
    return row[0].pk


@transaction.atomic
def set_blend(*, wax: Wax, parts: Mapping[Material, Decimal], seen: str, by) -> None:
    """Write down what a wax is blended of, share by weight in per cent; nothing: it draws nothing from stock.

    ValidationError where the shares do not make 100 % or a part is no wax that is bought; StaleVersion where the blend
    is no longer what the form was made from (`seen`).
    """
    wax = Wax.objects.select_for_update().get(pk=wax.pk)
    before = blend_of(wax)
    if _written(before, parts, seen):
        return
    for material in parts:
        if material.kind != WAX or material.remelt_of_id:
            raise ValidationError(f"{material} is no wax that is bought.")
    if parts and sum(parts.values()) != ALL:
        raise ValidationError(f"The parts make {sum(parts.values()).normalize():f} %, not 100 %.")
    rows = [BlendPart(wax=wax, material=material, percent=percent) for material, percent in parts.items()]
    _replace(wax.blend.all(), rows)
    tell(f"Blend of {wax} became {mix_in_words(parts, '%')}, before {mix_in_words(before, '%')}", by)


@transaction.atomic
def set_dyes(*, colour: Colour, parts: Mapping[Material, Decimal], seen: str, by) -> None:
    """Write down the dyes of a colour, grams to a kilogram of wax; nothing: it is the wax itself.

    ValidationError where a part is no dye or its figure is none; StaleVersion where the dyes are no longer what the
    form was made from (`seen`).
    """
    colour = Colour.objects.select_for_update().get(pk=colour.pk)
    before = dyes_of(colour)
    if _written(before, parts, seen):
        return
    for material in parts:
        if material.kind != DYE:
            raise ValidationError(f"{material} is no dye.")
    rows = [DyePart(colour=colour, material=material, grams_a_kilo=grams) for material, grams in parts.items()]
    _replace(colour.dyes.all(), rows)
    unit = "g to a kg"
    tell(f"Dye of {colour} became {mix_in_words(parts, unit)}, before {mix_in_words(before, unit)}", by)


def _written(before: Mapping, parts: Mapping, seen: str) -> bool:
    """Whether it is as it is to be already. StaleVersion where it has changed since it was seen."""
    if dict(before) == dict(parts):
        return True
    if seen_of(before) != seen:
        raise StaleVersion(CHANGED)
    return False


def _replace(old, rows) -> None:
    old.delete()
    for row in rows:
        row.full_clean()
        row.save(force_insert=True)
