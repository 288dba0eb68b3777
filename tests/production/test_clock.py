"""Turns against the clock: working hours, days off, clock changes, nights."""

from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from production.clock import MOST_DAYS, WorkingHours, turns_done_at

calm = settings(deadline=None, derandomize=True)

LONDON = ZoneInfo("Europe/London")
WEEK = {day: (time(8), time(16, 30)) for day in range(5)}
HOURS = WorkingHours(WEEK, LONDON)
MOMENTS = st.datetimes(datetime(2026, 1, 1), datetime(2026, 12, 31), timezones=st.just(UTC))
TURNS = st.decimals(min_value=Decimal("1"), max_value=Decimal("60"), places=1)


def london(*when: int) -> datetime:
    return datetime(*when, tzinfo=LONDON)


def done(start: datetime, turns: int, minutes: str | int, hours: WorkingHours | None = HOURS) -> datetime:
    return turns_done_at(start, turns, Decimal(minutes), hours).astimezone(LONDON)


def test_turns_within_a_day():
    assert done(london(2026, 11, 24, 9, 0), 30, 4) == london(2026, 11, 24, 11, 0)


def test_a_turn_that_does_not_fit_waits_for_the_next_day():
    """From 15:00 twenty-two turns of four minutes fit before 16:30; the rest begin at eight."""
    assert done(london(2026, 11, 24, 15, 0), 22, 4) == london(2026, 11, 24, 16, 28)
    assert done(london(2026, 11, 24, 15, 0), 23, 4) == london(2026, 11, 25, 8, 4)


def test_a_turn_may_end_with_the_day():
    assert done(london(2026, 11, 24, 16, 26), 1, 4) == london(2026, 11, 24, 16, 30)


@pytest.mark.parametrize("start", [(2026, 11, 27, 16, 29), (2026, 11, 27, 20, 0), (2026, 11, 28, 9, 0)])
def test_the_weekend_is_not_worked(start):
    assert done(london(*start), 15, 4) == london(2026, 11, 30, 9, 0)


def test_days_off_are_not_worked():
    hours = WorkingHours(WEEK, LONDON, frozenset([date(2026, 12, 25), date(2026, 12, 28)]))
    assert done(london(2026, 12, 24, 16, 28), 1, 4, hours) == london(2026, 12, 29, 8, 4)


def test_before_the_day_begins_the_turns_wait_for_it():
    assert done(london(2026, 11, 24, 5, 0), 1, 4) == london(2026, 11, 24, 8, 4)


@pytest.mark.parametrize("day", [date(2026, 3, 29), date(2026, 10, 25)])
def test_a_clock_change_keeps_the_hours_on_the_door(day):
    """The clocks change on a Sunday in the night; on Monday the day still begins at eight by the wall clock."""
    start = datetime.combine(day - timedelta(days=2), time(16, 28), LONDON)
    assert done(start, 1, 4) == datetime.combine(day + timedelta(days=1), time(8, 4), LONDON)


@pytest.mark.parametrize(("day", "turns"), [((2026, 3, 29), 4), ((2026, 10, 25), 6), ((2026, 6, 14), 5)])
def test_a_night_shift_over_a_clock_change_is_an_hour_shorter_or_longer(day, turns):
    """From midnight to five by the wall are four, six or five hours: turns of an hour show it."""
    sunday = WorkingHours({6: (time(0), time(5))}, LONDON)
    assert done(london(*day), turns, 60, sunday) == london(*day, 5)
    assert done(london(*day), turns + 1, 60, sunday) > london(*day, 5) + timedelta(days=6)


def test_hours_swallowed_by_the_clock_change_are_none():
    """From 01:15 to 02:00 does not happen on the night the clocks go forward."""
    gap = WorkingHours({6: (time(1, 15), time(2))}, LONDON)
    assert gap.on(date(2026, 3, 29)) is None
    assert gap.on(date(2026, 3, 22)) is not None


def test_without_hours_the_floor_works_on():
    assert done(london(2026, 11, 24, 23, 58), 2, 4, None) == london(2026, 11, 25, 0, 6)


def test_no_turns_are_done_at_once():
    start = london(2026, 11, 28, 3, 0)
    assert turns_done_at(start, 0, 4, HOURS) == start


@pytest.mark.parametrize(
    ("turns", "minutes", "hours"),
    [
        (1, 4, WorkingHours({}, LONDON)),
        (1, 600, HOURS),
        (10**9, 4, HOURS),
        (10**9, 4, None),
        (10**30, 4, None),
    ],
)
def test_what_never_ends_has_no_time(turns, minutes, hours):
    assert turns_done_at(london(2026, 11, 24, 9, 0), turns, minutes, hours) is None


@calm
@given(MOMENTS, st.integers(1, 400), TURNS)
def test_the_answer_agrees_with_walking_turn_by_turn(start, turns, minutes):
    """Against a walk that knows no sums: one turn after another, each moved on until it fits into a working day."""
    turn, now = timedelta(minutes=float(minutes)), start
    for _ in range(turns):
        local = now.astimezone(LONDON)
        opens, closes = (datetime.combine(local.date(), at, LONDON) for at in WEEK[0])
        now = max(now, opens.astimezone(UTC))
        while local.weekday() > 4 or now + turn > closes.astimezone(UTC):
            local = datetime.combine(local.date() + timedelta(days=1), time(8), LONDON)
            now, closes = local.astimezone(UTC), datetime.combine(local.date(), time(16, 30), LONDON)
        now += turn
    found = turns_done_at(start, turns, minutes, HOURS)
    assert abs(found - now) < timedelta(milliseconds=1)


@calm
@given(MOMENTS, st.integers(0, 300), st.integers(0, 300), TURNS)
def test_turns_in_two_parts_end_when_they_do_in_one(start, some, more, minutes):
    halfway = turns_done_at(start, some, minutes, HOURS)
    assert turns_done_at(halfway, more, minutes, HOURS) == turns_done_at(start, some + more, minutes, HOURS)


def test_a_naive_time_is_refused():
    with pytest.raises(ValueError, match="no time zone"):
        turns_done_at(datetime(2026, 11, 24, 9), 1, 4, HOURS)


@pytest.mark.parametrize("minutes", [0, -4, Decimal("0")])
def test_a_turn_without_time_is_refused(minutes):
    with pytest.raises(ValueError, match="takes time"):
        turns_done_at(london(2026, 11, 24), 1, minutes, HOURS)


def test_fewer_than_no_turns_are_refused():
    with pytest.raises(ValueError, match="none or more"):
        turns_done_at(london(2026, 11, 24), -1, 4, HOURS)


def test_the_search_ends():
    once = WorkingHours({0: (time(9), time(9, 4))}, LONDON)
    assert turns_done_at(london(2026, 11, 24), MOST_DAYS // 7, 4, once) is not None
    assert turns_done_at(london(2026, 11, 24), MOST_DAYS // 7 + 1, 4, once) is None
