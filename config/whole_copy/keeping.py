"""Which daily copies stay in their folder. No Django: days and names in, days out.

Fourteen days, and beyond them eight weeks, are common practice, no source.
"""

import os
import re
import time
from collections.abc import Collection
from contextlib import suppress
from datetime import date
from pathlib import Path

DAILY, WEEKLY = 14, 8
NAME = re.compile(r"book-(\d{4}-\d\d-\d\d)\.wickturn")
DRAFT = re.compile(NAME.pattern + r"\.\d+\.part")
DRAFT_IS_DEAD_AFTER_S = 3600


def name_of(day: date) -> str:
    return f"book-{day.isoformat()}.wickturn"


def day_of(name: str) -> date | None:
    """The day a daily copy's name carries; None for every other name."""
    found = NAME.fullmatch(name)
    try:
        return date.fromisoformat(found[1]) if found else None
    except ValueError:
        return None


def days_in(folder: Path) -> set[date]:
    """The days of the copies in the folder. OSError where it cannot be read."""
    with os.scandir(folder) as entries:
        days = {day_of(entry.name) for entry in entries if entry.is_file(follow_symlinks=False)}
    return days - {None}


def staying(days: Collection[date], today: date) -> set[date]:
    """The days whose copies stay: the newest 14, and of those before them the newest of each of the newest 8 weeks.

    A week runs from Monday, and counts when it holds a copy: no gap and no clock gone wrong empties the folder. Days
    after `today` stay beside them, for nobody knows whether the clock was wrong then or is wrong now.
    """
    newest_first = sorted((day for day in days if day <= today), reverse=True)
    weeks: dict[tuple[int, int], date] = {}
    for day in newest_first[DAILY:]:
        weeks.setdefault(day.isocalendar()[:2], day)
    ahead = {day for day in days if day > today}
    return {*ahead, *newest_first[:DAILY], *list(weeks.values())[:WEEKLY]}


def thin_out(folder: Path, today: date) -> None:
    """Remove the daily copies that need not stay, and nothing else. One that cannot be removed stays until it can."""
    days = days_in(folder)
    for day in days - staying(days, today):
        with suppress(OSError):
            (folder / name_of(day)).unlink()


def clear_drafts(folder: Path) -> None:
    """Remove what a killed worker left half-written. One being written is younger: another server's, say."""
    with os.scandir(folder) as entries:
        drafts = [entry for entry in entries if DRAFT.fullmatch(entry.name)]
    for draft in drafts:
        with suppress(OSError):
            if time.time() - draft.stat().st_mtime > DRAFT_IS_DEAD_AFTER_S:
                Path(draft.path).unlink()
