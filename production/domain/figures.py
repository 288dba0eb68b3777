"""The figures that hold for the whole floor."""

from django.db import transaction

from inventory.domain.set_up import said, tell, told_changes
from inventory.domain.versions import check_version
from production.models import FloorFigures

FIELDS = (
    "confidence",
    "faults_by_person",
    "plan_days",
    "hands",
    "thread_minutes",
    "handling_seconds",
    "change_colour_minutes",
    "change_wax_minutes",
)


@transaction.atomic
def save_figures(*, values: dict, version: int, by) -> FloorFigures:
    """Write the floor's figures (FIELDS). StaleVersion where somebody else was quicker; ValidationError by field."""
    FloorFigures.objects.get_or_create(pk=1)
    row = FloorFigures.objects.select_for_update().get(pk=1)
    check_version(row, version)
    before = said(row, FIELDS)
    for name in FIELDS:
        setattr(row, name, values[name])
    row.full_clean()
    if what := told_changes("Floor", before, said(row, FIELDS)):
        row.version += 1
        row.save()
        tell(what, by)
    return row
