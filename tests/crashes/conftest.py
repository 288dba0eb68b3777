"""A book that may be crashed, on either database."""

import os
import secrets
import subprocess
import sys
from pathlib import Path

import pytest
from django.db import connection

from config.bootstrap import ROOT
from config.migrated import copy_migrated
from tests.crashes.durable import FOLDER, Durable

KEY = "for-the-crashes-only-and-the-same-in-each-process-of-them"


@pytest.fixture
def book(db, tmp_path):
    """The environment of a migrated, empty book of its own."""
    if not Path("/proc/self/stat").exists():
        pytest.skip("whom to kill is looked up in Linux's /proc")
    env = {name: value for name, value in os.environ.items() if name not in ("DATABASE_URL", "WICKTURN_PLAIN_HTTP")}
    env |= {"WICKTURN_DATA": str(tmp_path), "WICKTURN_SECRET_KEY": KEY}
    if connection.vendor == "sqlite":
        copy_migrated(tmp_path / "book.sqlite3")
        yield env
        return
    cluster, to = Durable(), connection.settings_dict
    try:
        url = cluster.copy(f"postgresql://{to['USER']}:{to['PASSWORD']}@{to['HOST']}:{to['PORT']}/{to['NAME']}")
        yield {**env, "DATABASE_URL": url, FOLDER: str(cluster.folder)}
    finally:
        cluster.stop()


@pytest.fixture
def run_on(book):
    """`run_on("tests.crashes.run", "5", seconds=300)`: what the module said, with a seed as its last argument.

    Fails with it where the module found anything lost.
    """

    def run(module: str, *arguments: str, seconds: float) -> str:
        command = [sys.executable, "-m", module, book["WICKTURN_DATA"], *arguments, str(secrets.randbelow(10**6))]
        done = subprocess.run(
            command, cwd=ROOT, env=book, capture_output=True, text=True, timeout=seconds, check=False
        )
        assert done.returncode == 0, done.stdout + done.stderr
        return done.stdout

    return run
