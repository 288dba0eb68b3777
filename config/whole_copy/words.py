"""What Today says of the newest copy. No Django: what is known of it in, a sentence out."""

import errno
from dataclasses import dataclass
from datetime import date
from pathlib import Path

OLD_AFTER_DAYS = 2
# Windows knows no quota.
FULL = (errno.ENOSPC, getattr(errno, "EDQUOT", errno.ENOSPC))
NOON, EVENING = 12, 18
ELSEWHERE = "Copies of the book are kept where its worker runs, by `worker --copies`."
AGAIN = "Another try is made every five minutes."


@dataclass(frozen=True)
class Known:
    """The newest copy's day, and its local hour where that is sure; what went wrong on the last look, in words."""

    day: date | None = None
    hour: int | None = None
    wrong: str = ""

    def presses(self, today: date) -> bool:
        """Whether somebody has to do something."""
        return bool(self.wrong) or (self.day is not None and (today - self.day).days > OLD_AFTER_DAYS)


def sentence(known: Known, today: date, folder: Path) -> str:
    """ "The newest copy of the book is of this morning, in FOLDER." Or since when there is none, and what to do."""
    newest = "" if known.day is None else f"The newest copy of the book is of {_when(known, today)}"
    if not known.presses(today):
        return (
            f"{newest}, in {folder}." if newest else f"No copy of the book yet: `serve` makes one a day, in {folder}."
        )
    if known.day == today:
        return f"{newest}, but {known.wrong}"
    since = f"since {_when(known, today)}" if newest else "yet"
    what = known.wrong or "stop `serve` and start it again, which makes one, or make one with `backup`."
    return f"No copy of the book {since}: {what}"


def _when(known: Known, today: date) -> str:
    day = known.day
    age = (today - day).days
    if age == 0:
        return _part_of_today(known.hour)
    if age == 1:
        return "yesterday"
    return f"{day.day} {day:%B}" if day.year == today.year else f"{day.day} {day:%B %Y}"


def _part_of_today(hour: int | None) -> str:
    if hour is None:
        return "today"
    return "this morning" if hour < NOON else "this afternoon" if hour < EVENING else "this evening"


def why(failed: Exception, folder: Path) -> str:
    """Why no copy could be made, and what to do about it."""
    if not isinstance(failed, OSError):
        return f"the book could not be read ({str(failed).strip() or type(failed).__name__}). Ask `audit`."
    if failed.errno in FULL:
        return f"there is no room left in {folder}. Make room there, or name another folder in WICKTURN_COPIES."
    if failed.errno in (errno.ENOENT, errno.ENOTDIR):
        return f"the folder {folder} is not there. Plug its disk in, or make the folder."
    if failed.errno in (errno.EACCES, errno.EPERM, errno.EROFS):
        return f"Wickturn may not write in {folder}. Allow it, or name another folder in WICKTURN_COPIES."
    return f"{folder} cannot be written ({failed.strerror or failed}). Look after its disk."
