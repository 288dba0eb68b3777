"""Columns of sheets made from the fields of a model: what may stand in a field may stand in its column."""

from collections.abc import Mapping
from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils.text import capfirst

from inventory.sheets.columns import Column
from inventory.sheets.values import number_of, one_of, text_of, whole_of, yes_or_no


def column_of(
    model: type[models.Model], name: str, *, label: str = "", also: tuple[str, ...] = (), needed: bool = False,
    says: str = "", example: str = "", rows: Mapping[str, models.Model] | None = None,
) -> Column:  # fmt: skip
    """The column of a field. `rows`: what a foreign key may name, by every spelling."""
    field = model._meta.get_field(name)
    label = label or capfirst(str(field.verbose_name))
    read, takes = _reader(field, rows)
    return Column(name, label, read, also, needed, says or takes, example)


def _reader(field: models.Field, rows: Mapping[str, models.Model] | None):
    """The reader of a field, and what it takes in words."""
    if rows is not None:
        return one_of(rows, str(rows_noun(field))), "one that is in the book"
    if field.choices:
        spellings = {str(text): value for value, label in field.flatchoices for text in (value, label)}
        return one_of(spellings, str(field.verbose_name)), " or ".join(str(value) for value, _ in field.flatchoices)
    if isinstance(field, models.BooleanField):
        return yes_or_no, "yes or no"
    least, most = _bounds(field)
    if isinstance(field, models.DecimalField):
        places = field.decimal_places
        top = Decimal(10) ** (field.max_digits - places) - Decimal(1).scaleb(-places)
        return number_of(places=places, least=least, most=top if most is None else most), _said(
            "a number", least, most
        )
    if isinstance(field, models.IntegerField):
        return whole_of(least=least, most=most), _said("a whole number", least, most)
    return text_of(field.max_length), f"text, at most {field.max_length} signs"


def _said(what: str, least, most) -> str:
    if least is None or most is None:
        return what
    return f"{what}, {least} to {most}"


def rows_noun(field: models.ForeignKey) -> str:
    return str(field.related_model._meta.verbose_name)


def _bounds(field: models.Field):
    """The least and the most a field's own validators take; None where they set none."""
    found = {MinValueValidator: None, MaxValueValidator: None}
    for validator in field.validators:
        for kind, bound in found.items():
            if type(validator) is kind:
                value = validator.limit_value
                closer = max if kind is MinValueValidator else min
                found[kind] = value if bound is None else closer(bound, value)
    return found[MinValueValidator], found[MaxValueValidator]


def changed_fields(row: models.Model, values: Mapping[str, object]) -> dict[str, object]:
    """Those of the values that differ from what the row holds."""
    return {name: value for name, value in values.items() if getattr(row, name) != value}


def told(row: models.Model, changes: Mapping[str, object]) -> str:
    """ "trade price 2.20 to 2.40; wick CD-12 to CD-14"."""
    parts = []
    for name, value in changes.items():
        label = str(row._meta.get_field(name).verbose_name)
        parts.append(f"{label} {_shown(getattr(row, name))} to {_shown(value)}")
    return "; ".join(parts)


def _shown(value) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return "nothing" if value in (None, "") else str(value)
