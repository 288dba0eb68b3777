"""A copy a day, made by the worker beside the server; what came of it is kept in one small file for Today.

Today reads that file and never the folder: a disk that hangs may hold up the worker, but no page.
"""

import json
import logging
import os
import time
from datetime import date, datetime
from pathlib import Path

from django.conf import settings
from django.db import connection
from django.utils import timezone

from config.whole_copy.alone import alone
from config.whole_copy.keeping import clear_drafts, days_in, name_of, thin_out
from config.whole_copy.making import make_copy
from config.whole_copy.words import AGAIN, Known, why

LOOKS_EVERY_S = 60.0
TRIES_AGAIN_AFTER_S = 300.0  # said in words.AGAIN
logger = logging.getLogger(__name__)


def keep_copies(first_after_s: float) -> None:
    """Look every minute, for ever, whether the day's copy is there. For a thread of its own."""
    wait = first_after_s
    while True:
        time.sleep(wait)
        wait = LOOKS_EVERY_S
        try:
            if known := look_after_copies(timezone.localtime()):
                wait = TRIES_AGAIN_AFTER_S if known.wrong else LOOKS_EVERY_S
        except OSError:
            # Not even the book's own folder can be written: the book itself will say so.
            logger.exception("What is known of the copies could not be kept.")
        finally:
            connection.close()


def look_after_copies(now: datetime) -> Known | None:
    """Make the copy of `now`'s day unless it is there, thin out, and keep what is known then.

    None where another worker is at it, and for the demo, whose book is nobody's. OSError only where the book's own
    folder cannot be written.
    """
    if settings.IS_DEMO:
        return None
    with alone(settings.DATA_DIR / "copies.lock") as mine:
        if not mine:
            return None
        before = newest_known()
        known = _look(settings.COPIES, now, before)
        if known != before:
            _keep(known)
        return known


def _look(folder: Path, now: datetime, before: Known) -> Known:
    today, wrong = now.date(), ""
    try:
        # Only its own folder is made: in the place of a disk that is not plugged in, one would be on the wrong disk.
        if folder == settings.OWN_COPIES:
            folder.mkdir(mode=0o700, exist_ok=True)
        if today not in days_in(folder):
            clear_drafts(folder)
            make_copy(folder / name_of(today))
            thin_out(folder, today)
    except FileExistsError:
        # Another server that shares the folder was quicker.
        pass
    except Exception as failed:
        wrong = f"{why(failed, folder)} {AGAIN}"
        if wrong != before.wrong:
            logger.warning("The copies of the book: %s", wrong, exc_info=not isinstance(failed, OSError))
    try:
        return Known(*_newest(folder, today), wrong)
    except OSError as failed:
        return Known(before.day, before.hour, wrong or f"{why(failed, folder)} {AGAIN}")


def _newest(folder: Path, today: date) -> tuple[date | None, int | None]:
    """Day and hour of the newest copy; of days to come only where there is no other, for the clock was wrong."""
    days = days_in(folder)
    newest = max((day for day in days if day <= today), default=max(days, default=None))
    if newest is None:
        return None, None
    made = timezone.localtime(
        datetime.fromtimestamp((folder / name_of(newest)).stat().st_mtime, tz=timezone.get_current_timezone())
    )
    return newest, made.hour if made.date() == newest else None


def newest_known() -> Known:
    """What the last look found, from one small file. Where there is none to read, nothing is known."""
    try:
        kept = json.loads(_file().read_text(encoding="utf-8"))
        return Known(kept["day"] and date.fromisoformat(kept["day"]), kept["hour"], kept["wrong"])
    except (OSError, ValueError, KeyError, TypeError):
        return Known()


def _keep(known: Known) -> None:
    draft = _file().with_name(f"{_file().name}.{os.getpid()}")
    draft.write_text(
        json.dumps({"day": known.day and known.day.isoformat(), "hour": known.hour, "wrong": known.wrong}),
        encoding="utf-8",
    )
    # Whole or not at all: pages read it meanwhile.
    draft.replace(_file())


def _file() -> Path:
    return settings.DATA_DIR / "copies.json"
