"""The set-up's list of materials: its unit is settled by what lies there."""

from django.core.exceptions import ValidationError
from django.db import transaction

from inventory.domain.set_up import change_row
from inventory.models import Material


@transaction.atomic
def change_material(*, row: Material, values: dict, seen: str, by) -> Material:
    """Change a material. ValidationError where its kind would change though something counts in its unit."""
    row = Material.objects.select_for_update().get(pk=row.pk)
    counted = (row.lots, row.purchases, row.blended_in, row.dyed_in, row.candles)
    if values["kind"] != row.kind and any(rows.exists() for rows in counted):
        raise ValidationError(
            {"kind": f"It is in use as {row.kind}: write the other one down as a material of its own."}
        )
    return change_row(row=row, values=values, seen=seen, by=by)
