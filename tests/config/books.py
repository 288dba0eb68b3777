"""Books beside the test's own, for copies to be brought back into."""

import json
import os
import subprocess
import sys
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.db import connection

from inventory.audit import breaches as stock_breaches
from orders.audit import breaches as order_breaches
from production.audit import breaches as floor_breaches
from tests.conftest import ROOT


def manage(database: str, *arguments: str, ok: bool = True, **env: str) -> str:
    """Run a command on another database, or on the book of its own where none is named; what it said."""
    command = [sys.executable, "manage.py", *map(str, arguments)]
    done = subprocess.run(
        command,
        env={**os.environ, "DATABASE_URL": database, **env},
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode == 0) == ok, done.stdout + done.stderr
    return done.stdout + done.stderr


def manifest_of(file: Path) -> dict:
    with zipfile.ZipFile(file) as archive:
        return json.loads(archive.read("manifest.json"))


def tables_in(file: Path) -> dict:
    """Rows and digest of each table of a copy."""
    return manifest_of(file)["tables"]


def audit() -> list[str]:
    return [*stock_breaches(), *floor_breaches(), *order_breaches()]


@contextmanager
def led_to(name: str) -> Iterator[None]:
    """The connection leads to this database of the same kind for as long as the block runs."""
    own = connection.settings_dict["NAME"]
    connection.close()
    connection.settings_dict["NAME"] = name
    try:
        yield
    finally:
        connection.close()
        connection.settings_dict["NAME"] = own


@contextmanager
def new_on_server(name: str) -> Iterator[str]:
    """An empty database of this name beside the test's own on PostgreSQL; its address."""
    with connection.cursor() as cursor:
        cursor.execute(f'CREATE DATABASE "{name}"')
    try:
        yield os.environ["DATABASE_URL"].rpartition("/")[0] + f"/{name}"
    finally:
        with connection.cursor() as cursor:
            cursor.execute(f'DROP DATABASE "{name}" WITH (FORCE)')
