"""The floor's working hours, as the clock of production.clock reads them."""

from django.utils import timezone

from production.clock import WorkingHours
from production.models import DayOff, WorkingDay


def working_hours() -> WorkingHours | None:
    """Hours by weekday with the days off; None where nobody has set any. Two queries."""
    days = {day.weekday: (day.starts, day.ends) for day in WorkingDay.objects.all()}
    if not days:
        return None
    off = frozenset(DayOff.objects.values_list("day", flat=True))
    return WorkingHours(days, timezone.get_current_timezone(), off)
