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
class WeekBooked:
    """A week of the season and the same days of the one before: pairs booked up to its last day, None beyond today."""

    last: date
    now: int | None
    before: int


def by_week(now: Curve, before: Curve, weeks: Sequence[tuple[date, date]], today: date) -> list[WeekBooked]:
    """For (last day of a week, the same day of the season before): both curves; `today`'s week stands at today."""
    rows, told = [], False
    for last, then in weeks:
        shown = None if told else now.by(min(last, today))
        told = told or last >= today
        rows.append(WeekBooked(last, shown, before.by(then)))
    return rows
