"""A copy of the book as it is before its tables are brought up to date: the way back, should the new ones be wrong."""

from contextlib import suppress
from datetime import datetime
from pathlib import Path

from django.conf import settings

from config.whole_copy.making import make_copy
from config.whole_copy.words import why


class NoCopy(Exception):
    """Why there is none, in words."""


def copy_before_upgrade(now: datetime) -> Path:
    """The copy's file, in the folder of the daily ones; it is never thinned out. NoCopy where it cannot be made."""
    folder = settings.COPIES
    file = folder / f"before-upgrade-{now:%Y-%m-%d-%H%M%S}.wickturn"
    try:
        if folder == settings.OWN_COPIES:
            folder.mkdir(mode=0o700, exist_ok=True)
        # Another server of the same book that starts in the same second has made it.
        with suppress(FileExistsError):
            make_copy(file)
    except OSError as failed:
        raise NoCopy(f"No copy could be made before the book is brought up to date: {why(failed, folder)}") from failed
    return file
