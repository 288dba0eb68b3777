"""What was booked by which day. No Django: dates and whole pairs."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True)
class Curve:
    """Pairs booked, added up: `steps` are (day, pairs booked up to and with that day), the days rising."""

    steps: tuple[tuple[date, int], ...]

    def by(self, day: date) -> int:
        """Pairs booked up to and with that day."""
        found = 0
        for when, pairs in self.steps:
            if when > day:
                break
            found = pairs
        return found

    @property
    def total(self) -> int:
        return self.steps[-1][1] if self.steps else 0

    def share_by(self, day: date) -> float:
        """0 to 1: of all that was booked in the end, what was booked by that day; 0 where nothing ever was."""
        return self.by(day) / self.total if self.total else 0.0


def curve_of(bookings: Iterable[tuple[date, int]]) -> Curve:
    """The curve of (day, pairs booked on it), in any order; a day may come more than once."""
    by_day: dict[date, int] = {}
    for day, pairs in bookings:
        by_day[day] = by_day.get(day, 0) + pairs
    steps, sum_ = [], 0
    for day in sorted(by_day):
        sum_ += by_day[day]
        steps.append((day, sum_))
    return Curve(tuple(steps))


@dataclass(frozen=True)
class DayBooked:
    """Pairs booked by a day of this season and by the same day of the one before; `now` None for days to come."""

    day: date
    now: int | None
    before: int


def side_by_side(now: Curve, before: Curve, days: Sequence[tuple[date, date]], today: date) -> list[DayBooked]:
    """For (day, the same day of the season before): both curves."""
    return [DayBooked(day, now.by(day) if day <= today else None, before.by(then)) for day, then in days]
