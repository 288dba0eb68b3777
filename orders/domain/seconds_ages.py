"""The steps by which older seconds are cheaper. What orders were confirmed at stays whatever becomes of a step."""

from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import transaction

from inventory.domain.set_up import add_row, change_row
from orders.models import SecondsAge
from orders.prices import in_percent


@transaction.atomic
def add_age(*, row: SecondsAge, by) -> SecondsAge:
    """One step more; ValidationError where older seconds would be dearer."""
    _check_falls(row.days, row.percent, but=None)
    return add_row(row=row, by=by)


@transaction.atomic
def change_age(*, row: SecondsAge, values: dict, seen: str, by) -> SecondsAge:
    """Change a step; refused as add_age."""
    _check_falls(values["days"], values["percent"], but=row.pk)
    return change_row(row=row, values=values, seen=seen, by=by)


def _check_falls(days: int, percent: Decimal, *, but: int | None) -> None:
    others = SecondsAge.objects.select_for_update().exclude(pk=but).exclude(days=days)
    for other in others:
        if (other.days < days) == (other.percent >= percent):
            more = "more" if other.days < days else "less"
            raise ValidationError(
                {"percent": f"From {other.days} days on it is {in_percent(other.percent)}: {more} than that."}
            )
