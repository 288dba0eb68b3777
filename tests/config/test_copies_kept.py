"""Which daily copies stay, and what is said of the newest: rules without a database."""

from datetime import date, timedelta
from pathlib import Path

import pytest

from config.whole_copy.keeping import day_of, name_of, staying
from config.whole_copy.words import Known, sentence

DAY = date(2026, 11, 29)


def days_before(count: int, last: date = DAY) -> set[date]:
    return {last - timedelta(days=back) for back in range(count)}


# Which stay


def test_a_year_of_days_leaves_fourteen_days_and_the_sundays_of_eight_weeks():
    kept: set[date] = set()
    for day in sorted(days_before(365)):
        kept = staying(kept | {day}, day)
        assert days_before(min(14, len(kept)), day) <= kept
        assert len(kept) <= 22
    # DAY is a Sunday, and so is the last day before its fortnight.
    assert kept == days_before(14) | {DAY - timedelta(days=14 + 7 * week) for week in range(8)}


def test_within_a_week_the_newest_beyond_the_fortnight_stays():
    wednesday = date(2026, 12, 2)
    beyond = sorted(staying(days_before(60, wednesday), wednesday) - days_before(14, wednesday), reverse=True)
    assert beyond[:3] == [date(2026, 11, 18), date(2026, 11, 15), date(2026, 11, 8)]


@pytest.mark.parametrize(
    ("days", "today"),
    [
        (set(), DAY),
        (days_before(14, date(2020, 2, 29)), DAY),
        ({date(year, 1, 1) for year in range(2005, 2027)}, DAY),
        # The clock ran ahead for a while, or runs behind now: neither pushes a true day out.
        (days_before(14) | days_before(30, date(2031, 1, 1)), DAY),
    ],
    ids=["none", "a gap of years", "a copy a year", "clock set back"],
)
def test_no_gap_and_no_clock_empties_the_folder(days, today):
    assert staying(days, today) == days


def test_a_clock_far_ahead_for_a_day_costs_one_copy_of_each_kind_at_most():
    kept = staying(days_before(365), DAY)
    assert kept - staying(kept | {date(2040, 1, 1)}, date(2040, 1, 1)) == {DAY - timedelta(days=63)}


@pytest.mark.parametrize(
    "name",
    [
        "book-2026-11-31.wickturn",
        "book-2026-11-29.wickturn.part",
        "mybook-2026-11-29.wickturn",
        "book-20261129.wickturn",
        "season.wickturn",
    ],
)
def test_only_its_own_names_are_read_as_days(name):
    assert day_of(name) is None
    assert day_of(name_of(DAY)) == DAY


# What Today says


@pytest.mark.parametrize(
    ("known", "said"),
    [
        (Known(), "No copy of the book yet: `serve` makes one a day, in /disk."),
        (Known(DAY, 0), "The newest copy of the book is of this morning, in /disk."),
        (Known(DAY, 14), "The newest copy of the book is of this afternoon, in /disk."),
        (Known(DAY), "The newest copy of the book is of today, in /disk."),
        (Known(date(2026, 11, 28), 9), "The newest copy of the book is of yesterday, in /disk."),
        (Known(date(2026, 11, 27)), "The newest copy of the book is of 27 November, in /disk."),
        (Known(date(2026, 12, 3)), "The newest copy of the book is of 3 December, in /disk."),
    ],
)
def test_a_copy_young_enough_is_a_quiet_line(known, said):
    assert (sentence(known, DAY, Path("/disk")), known.presses(DAY)) == (said, False)


@pytest.mark.parametrize(
    ("known", "said"),
    [
        (Known(date(2026, 11, 26)), "No copy of the book since 26 November: stop `serve` and start it again"),
        (Known(date(2025, 12, 24), wrong="it is full."), "No copy of the book since 24 December 2025: it is full."),
        (Known(wrong="it is full."), "No copy of the book yet: it is full."),
        (Known(DAY, 9, "it is gone."), "The newest copy of the book is of this morning, but it is gone."),
    ],
)
def test_one_too_old_or_failed_says_what_to_do(known, said):
    assert sentence(known, DAY, Path("/disk")).startswith(said)
    assert known.presses(DAY)
