"""Which days a Christmas season has. No Django."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, timedelta

from orders.van_days import WORKING_DAYS

# What comes on Christmas Eve is sold by nobody. Common practice, no source; the owner names another day.
LAST_ARRIVAL = (12, 23)
CHRISTMAS_EVE = (12, 24)


@dataclass(frozen=True)
class SeasonDates:
    """Orders to be sent from `begins` to `ends` (both included) are the season's; `last_van` is the last before it."""

    year: int
    begins: date
    ends: date
    last_van: date


def years_on(day: date, years: int) -> date:
    """The same day so many years later (before, with a minus); 29 February is the 28th where there is none."""
    year = day.year + years
    leap = year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)
    return date(year, 2, 28) if (day.month, day.day) == (2, 29) and not leap else day.replace(year=year)


def season_of(
    today: date, first_month: int, weekdays: Collection[int], off: Collection[date] = (), last_van: date | None = None
) -> SeasonDates:
    """The season that `today` looks forward to: this year's up to Christmas Eve, then the next one's.

    `first_month` 1 to 12: sending for Christmas begins on its first. `weekdays` the van goes on (0 is Monday; none:
    any working day), `off` days nobody works. `last_van`: what the owner named, which counts in its own year only.
    """
    year = today.year if (today.month, today.day) <= CHRISTMAS_EVE else today.year + 1
    return season_in(year, first_month, weekdays, off, last_van)


def season_in(
    year: int, first_month: int, weekdays: Collection[int], off: Collection[date] = (), last_van: date | None = None
) -> SeasonDates:
    """The season of one year, as `season_of` has it."""
    goes_on = set(weekdays) or set(WORKING_DAYS)
    latest = date(year, *LAST_ARRIVAL)
    days = (latest - timedelta(days=back) for back in range(60))
    usual = next((day for day in days if day.weekday() in goes_on and day not in off), latest)
    named = last_van if last_van and last_van.year == year else None
    return SeasonDates(year, date(year, first_month, 1), date(year, *CHRISTMAS_EVE), named or usual)
