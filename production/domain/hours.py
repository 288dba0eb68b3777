"""Days off, a day or a whole holiday at once."""

from datetime import date, timedelta

from django.core.exceptions import ValidationError
from django.db import transaction

from inventory.domain.set_up import tell
from inventory.words import counted, day
from production.models import DayOff

LONGEST = 60  # days at once: a longer one is a slip of the year


@transaction.atomic
def add_days_off(*, first: date, last: date | None, note: str, by) -> int:
    """Each day from `first` to `last` (else `first` alone) is off; how many are new. Those off already stay so.

    ValidationError where `last` lies before `first` or more than 60 days on, or where every day is off already.
    """
    last = last or first
    if last < first:
        raise ValidationError({"last": "It ends before it begins."})
    if (last - first).days >= LONGEST:
        raise ValidationError({"last": f"At most {LONGEST} days at once."})
    days = [first + timedelta(n) for n in range((last - first).days + 1)]
    before = set(DayOff.objects.filter(day__in=days).values_list("day", flat=True))
    new = [DayOff(day=each, note=note) for each in days if each not in before]
    if not new:
        raise ValidationError({"day": f"{day(first)} is off already." if last == first else "All are off already."})
    # A second owner who names the same days at the same moment adds what is left of them.
    DayOff.objects.bulk_create(new, ignore_conflicts=True)
    span = day(first) if last == first else f"{day(first)} to {day(last)}"
    tell(f"{counted(len(new), 'day')} off: {span}{', ' + note if note else ''}", by)
    return len(new)
