"""Seconds of work against the clock. No Django: aware datetimes, dates, seconds from the beginning of the plan."""

from bisect import bisect_left, bisect_right
from datetime import UTC, date, datetime, timedelta

from production.dip_plan.problem import UNFILLED_DAYS, Day, Problem


def moment_of(days: tuple[Day, ...], second: int) -> datetime:
    """When work that begins at this second begins: the last second of a day is the next day's opening."""
    at = bisect_right(days, second, key=lambda day: day.starts) - 1
    day = days[max(0, at)]
    return day.opens + timedelta(seconds=second - day.starts)


def moment_done(days: tuple[Day, ...], second: int) -> datetime:
    """When work that ends with this second is done: the last second of a day is its closing time."""
    day = days[min(bisect_left(days, second, key=lambda day: day.ends), len(days) - 1)]
    return day.opens + timedelta(seconds=second - day.starts)


def second_at(days: tuple[Day, ...], moment: datetime) -> int:
    """The second of work that a moment lies in, or the next opening's; the last day's end for all beyond it."""
    for day in days:
        if moment < day.closes:
            return day.starts + max(0, int((moment - day.opens).total_seconds()))
    return days[-1].ends if days else 0


def later(moment: datetime, seconds: int) -> datetime:
    """So many seconds later by the clock, also over the night when the clocks change."""
    return (moment.astimezone(UTC) + timedelta(seconds=seconds)).astimezone(moment.tzinfo)


def ready_on(days: tuple[Day, ...], hard: datetime) -> date | None:
    """The working day on which pairs are there that are hard at that moment; None beyond the days."""
    at = bisect_right(days, hard, key=lambda day: day.closes)
    return days[at].date if at < len(days) else None


def half_of(problem: Problem, second: int) -> int:
    """The half-day that a second of work lies in; the last one for all beyond."""
    return max(0, min(bisect_right(problem.halves, second, key=lambda half: half.starts), len(problem.halves)) - 1)


def nights(days: tuple[Day, ...], starts: int, ends: int) -> int:
    """Closing times between two seconds of work."""
    return sum(starts < day.ends < ends for day in days)


def unfilled_date(problem: Problem) -> date:
    """The date by which pairs are counted that the plan does not bring; without any half-day, from its last day on,
    and without any day from the last date wanted on."""
    if problem.halves:
        last = problem.days[problem.halves[-1].day].date
    elif problem.days:
        last = problem.days[-1].date
    else:
        last = max((want.due for want in problem.wants), default=date.min)
    return last + timedelta(days=UNFILLED_DAYS)
