"""Turns against the clock. No Django here: minutes, aware datetimes, local working hours of a time zone.

Time that passes is counted in UTC, so a turn has sixty-second minutes on the night the clocks change, too; hours of
work are local, as the door sign has them. A turn is not cut by closing time: one that doesn't fit before it waits for
the next working day.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from fractions import Fraction
from zoneinfo import ZoneInfo

MOST_DAYS = 3 * 366  # a date further off is no date anyone plans by


@dataclass(frozen=True)
class WorkingHours:
    """Local hours by weekday (0 is Monday); a weekday that is missing, and a day off, is not worked."""

    days: Mapping[int, tuple[time, time]]
    zone: ZoneInfo
    days_off: frozenset[date] = field(default_factory=frozenset)

    def on(self, day: date) -> tuple[datetime, datetime] | None:
        """The hours of one day in UTC; None where it is not worked, or the clock change swallows it."""
        if day in self.days_off or day.weekday() not in self.days:
            return None
        starts, ends = (datetime.combine(day, hour, self.zone).astimezone(UTC) for hour in self.days[day.weekday()])
        return (starts, ends) if starts < ends else None


def turns_done_at(
    start: datetime, turns: int, turn_minutes: Decimal | float, hours: WorkingHours | None = None
) -> datetime | None:
    """When `turns` more turns are done, begun at `start`; in UTC. None where that lies beyond MOST_DAYS or never.

    Without `hours` the floor works on through the night. ValueError for a naive start, fewer than no turns, or a turn
    that takes no time.
    """
    turn = _turn(start, turn_minutes)
    if turns < 0:
        raise ValueError(f"turns to come are none or more, not {turns}")
    start = start.astimezone(UTC)
    if turns == 0:
        return start
    if hours is None:
        return start + turns * turn if turns * Fraction(turn_minutes) < MOST_DAYS * 1440 else None
    for opens, closes in _sessions(start, hours):
        fit = (closes - opens) // turn
        if fit >= turns:
            return opens + turns * turn
        turns -= max(0, fit)
    return None


def _sessions(start: datetime, hours: WorkingHours) -> Iterator[tuple[datetime, datetime]]:
    """Stretches of work from `start` on, in UTC, the first from `start` where that lies within one."""
    first = start.astimezone(hours.zone).date()
    for ahead in range(MOST_DAYS):
        day = hours.on(first + timedelta(days=ahead))
        if day and day[1] > start:
            yield max(day[0], start), day[1]


def _turn(start: datetime, turn_minutes: Decimal | float) -> timedelta:
    """A turn as a stretch of time, to the microsecond."""
    if start.utcoffset() is None:
        raise ValueError(f"{start} names no time zone")
    turn = timedelta(microseconds=round(Fraction(turn_minutes) * 60_000_000))
    if turn <= timedelta():
        raise ValueError(f"a turn takes time, not {turn_minutes} minutes")
    return turn
