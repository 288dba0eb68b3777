"""A throw-away book for a measure: a fresh, migrated SQLite database of its own."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from django.conf import settings
from django.db import connections
from django.test.utils import override_settings

from config.memory import settle
from config.migrated import copy_migrated, make_migrated_file

KEY = "for-the-measure-only"  # of this process and of those on its book: what one signs, the others read


@dataclass(frozen=True)
class Book:
    """Where it lies, and the environment in which a process of its own works on it."""

    folder: Path
    path: Path
    env: dict[str, str]


@contextmanager
def made_book(**changed) -> Iterator[Book]:
    """Django's default connection leads to an empty book for the time of the block, then where it led before.

    Nothing of the workshop is touched: files and letters go to a folder that is deleted at the end, and no letter is
    sent. `changed` are settings for the time of the block. Threads begun inside it have the same book.
    """
    make_migrated_file()
    settle()  # a measured process is as loaded as a server's
    with TemporaryDirectory(prefix="wickturn-measure-") as made:
        folder = Path(made)
        path = folder / "book.sqlite3"
        copy_migrated(path)
        given = {
            "DATA_DIR": folder,
            "SECRET_KEY": KEY,
            "EMAIL_BACKEND": "django.core.mail.backends.dummy.EmailBackend",
            "ALLOWED_HOSTS": ["testserver", "127.0.0.1", "localhost"],
            "SECURE_SSL_REDIRECT": False,
            **changed,
        }
        with override_settings(**given), _leading_to(path):
            yield Book(folder, path, _env(folder, path))


@contextmanager
def _leading_to(path: Path) -> Iterator[None]:
    # Not by override_settings: the handler of connections keeps what it was made with.
    before, settings_before = connections["default"], connections.settings["default"]
    connections.settings["default"] = {**settings_before, **settings.SQLITE, "NAME": str(path)}
    connections["default"] = connections.create_connection("default")
    try:
        yield
    finally:
        connections["default"].close()
        connections.settings["default"] = settings_before
        connections["default"] = before


def _env(folder: Path, path: Path) -> dict[str, str]:
    own = {
        "DATABASE_URL": f"sqlite:///{path}",
        "WICKTURN_DATA": str(folder),
        "WICKTURN_DEMO": "0",
        "WICKTURN_PLAIN_HTTP": "1",
        "WICKTURN_SECRET_KEY": KEY,
    }
    return {**{name: value for name, value in os.environ.items() if name != "WICKTURN_SMTP_URL"}, **own}
