"""The planner's work clock over the workshop's own hours: days, half-days, and which half-day a moment lies in."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

from production.clock import WorkingHours
from production.dip_plan.problem import Day, Half

MORNING, AFTERNOON = 1, 2
NOON = time(12)
GRAIN = timedelta(minutes=15)  # nobody begins a plan to the second; asked twice within it, the plan is the same
DAYS_TO_HARDEN = 14  # working days after the plan's last: a frame hardens ten days at most
LOOK_AHEAD = 3 * 366  # calendar days in which working days are looked for


@dataclass(frozen=True)
class WorkClock:
    """`names[half]`: (date, MORNING or AFTERNOON)."""

    days: tuple[Day, ...]
    halves: tuple[Half, ...]
    names: tuple[tuple[date, int], ...]

    @property
    def begins(self) -> datetime | None:
        return self.days[0].opens if self.days else None

    def second_of(self, moment: datetime) -> int:
        """The second of work of a moment; of one that is not worked, the next opening's; before the plan, 0."""
        for day in self.days:
            if moment < day.closes:
                return day.starts + max(0, int((moment - day.opens).total_seconds()))
        return self.days[-1].ends if self.days else 0


def work_clock(
    hours: WorkingHours | None, now: datetime, count: int, worked: Iterable[date] = (), spare: int = DAYS_TO_HARDEN
) -> WorkClock:
    """The next `count` working days from `now` in half-days, and `spare` days more to harden in.

    `worked`: days worked although they are free, with the hours of the last weekday that is worked. Without working
    hours there are no days.
    """
    if hours is None or not hours.days:
        return WorkClock((), (), ())
    days, halves, names, starts = [], [], [], 0
    for opens, closes in _sessions(hours, now, frozenset(worked)):
        if len(days) == count + spare:
            break
        local = opens.astimezone(hours.zone)
        ends = starts + int((closes - opens).total_seconds())
        days.append(Day(local.date(), opens, closes, starts, ends))
        if len(days) <= count:
            for begins, until, name in _halves(opens, closes, hours):
                halves.append(Half(len(days) - 1, starts + begins, starts + until))
                names.append((local.date(), name))
        starts = ends
    return WorkClock(tuple(days), tuple(halves), tuple(names))


def _sessions(hours: WorkingHours, now: datetime, worked: frozenset[date]) -> Iterator[tuple[datetime, datetime]]:
    now = _rounded_up(now)
    first = now.astimezone(hours.zone).date()
    usual = hours.days[max(hours.days)]
    for ahead in range(LOOK_AHEAD):
        day = first + timedelta(days=ahead)
        session = hours.on(day)
        if session is None and day in worked:
            session = tuple(datetime.combine(day, hour, hours.zone).astimezone(UTC) for hour in usual)
        if session and session[1] > now:
            yield max(session[0], now), session[1]


def _rounded_up(now: datetime) -> datetime:
    now = now.astimezone(UTC)
    past = (now - datetime(2000, 1, 1, tzinfo=UTC)) % GRAIN
    return now - past + GRAIN if past else now


def _halves(opens: datetime, closes: datetime, hours: WorkingHours) -> Iterator[tuple[int, int, int]]:
    """(from, until) in seconds from the opening, and which half of the day it is; what has no length is left out."""
    noon = datetime.combine(opens.astimezone(hours.zone).date(), NOON, hours.zone).astimezone(UTC)
    length = int((closes - opens).total_seconds())
    middle = min(length, max(0, int((noon - opens).total_seconds())))
    if middle:
        yield 0, middle, MORNING
    if middle < length:
        yield middle, length, AFTERNOON
