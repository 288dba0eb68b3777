"""kill -9 at any moment under load: all that was acknowledged is there, nothing is half there."""

import os
import secrets
import subprocess
import sys

import pytest
from django.db import connection

from config.bootstrap import ROOT
from config.migrated import copy_migrated
from tests.crashes.durable import FOLDER, Durable

KEY = "for-the-crashes-only-and-the-same-in-each-process-of-them"


@pytest.fixture
def book(request, db, tmp_path):
    """The environment of a migrated, empty book that may be crashed."""
    env = {name: value for name, value in os.environ.items() if name not in ("DATABASE_URL", "WICKTURN_PLAIN_HTTP")}
    env |= {"WICKTURN_DATA": str(tmp_path), "WICKTURN_SECRET_KEY": KEY, "WICKTURN_LOG_LEVEL": "warning"}
    if connection.vendor == "sqlite":
        copy_migrated(tmp_path / "book.sqlite3")
        yield env
        return
    cluster = Durable()
    try:
        url = cluster.copy(_url())
        yield {**env, "DATABASE_URL": url, FOLDER: str(cluster.folder)}
    finally:
        cluster.stop()


def _url() -> str:
    to = connection.settings_dict
    return f"postgresql://{to['USER']}:{to['PASSWORD']}@{to['HOST']}:{to['PORT']}/{to['NAME']}"


def crash(book: dict[str, str], crashes: int, seconds: float) -> str:
    """What the run said; fails with it where anything was lost."""
    seed = secrets.randbelow(10**6)
    command = [sys.executable, "-m", "tests.crashes.run", book["WICKTURN_DATA"], str(crashes), str(seed)]
    done = subprocess.run(command, cwd=ROOT, env=book, capture_output=True, text=True, timeout=seconds, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def test_five_crashes_lose_nothing(book):
    assert "5. " in crash(book, 5, 300)


@pytest.mark.long
def test_a_hundred_crashes_lose_nothing(book):
    assert "100. " in crash(book, 100, 3000)
