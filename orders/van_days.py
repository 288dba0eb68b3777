"""Which day the van goes, and which van an order goes with. No Django here: weekdays as 0 (Monday) to 6."""

from collections.abc import Collection
from datetime import date, timedelta
from itertools import count, islice

WORKING_DAYS = (0, 1, 2, 3, 4)
FARTHEST = 90  # days ahead a van day may lie; beyond it is a slip of the finger


def van_days_from(today: date, weekdays: Collection[int], how_many: int) -> list[date]:
    """The next van days, today included. Without van days of its own a house sends on any working day."""
    goes_on = set(weekdays) or set(WORKING_DAYS)
    days = (today + timedelta(days=ahead) for ahead in count())
    return list(islice((day for day in days if day.weekday() in goes_on), how_many))


def van_day_for(ship_by: date, today: date, weekdays: Collection[int]) -> date:
    """The last van that keeps the ship-by date; the next one where none does any more."""
    goes_on = set(weekdays) or set(WORKING_DAYS)
    for back in range(min(7, (ship_by - today).days + 1)):
        day = ship_by - timedelta(days=back)
        if day.weekday() in goes_on:
            return day
    return van_days_from(today, weekdays, 1)[0]
