"""The figures that hold for the whole floor, and those that say what work and heat cost."""

from django.db import transaction

from inventory.domain.set_up import said, tell, told_changes
from inventory.domain.versions import check_version
from production.models import CostFigures, FloorFigures

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
COST_FIELDS = (
    "pay_hour",
    "turn_seconds",
    "grade_minutes",
    "pack_minutes",
    "heated_by",
    "energy_price",
    "heat_share",
    "room_c",
)


def save_figures(*, values: dict, version: int, by) -> FloorFigures:
    """Write the floor's figures (FIELDS). StaleVersion where somebody else was quicker; ValidationError by field."""
    return _save(FloorFigures, FIELDS, "Floor", values=values, version=version, by=by)


def save_cost_figures(*, values: dict, version: int, by) -> CostFigures:
    """Write what work and heat cost (COST_FIELDS). Refusals as for save_figures."""
    return _save(CostFigures, COST_FIELDS, "Costs", values=values, version=version, by=by)


@transaction.atomic
def _save(model, fields: tuple[str, ...], name: str, *, values: dict, version: int, by):
    model.objects.get_or_create(pk=1)
    row = model.objects.select_for_update().get(pk=1)
    check_version(row, version)
    before = said(row, fields)
    for field in fields:
        setattr(row, field, values[field])
    row.full_clean()
    if what := told_changes(name, before, said(row, fields)):
        row.version += 1
        row.save()
        tell(what, by)
    return row
