"""A migrated, empty SQLite file, kept for as long as no migration changes.

Each database of the tests and of a measure begins as its copy: migrating takes a dozen seconds, copying none.
"""

import hashlib
import os
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
A_DAY = 24 * 60 * 60
KEPT_IN = ROOT / ".pytest_cache" / "migrated"


def migrated_file() -> Path:
    """The kept file for the migrations as they stand now."""
    return KEPT_IN / f"{_fingerprint()}.sqlite3"


def make_migrated_file() -> None:
    """Make the file where there is none yet; those a day old go. For the one process that starts the run."""
    path = migrated_file()
    if path.exists():
        return
    KEPT_IN.mkdir(parents=True, exist_ok=True)
    for old in KEPT_IN.glob("*.sqlite3*"):
        if time.time() - old.stat().st_mtime > A_DAY:
            old.unlink(missing_ok=True)
    building = path.with_suffix(f".sqlite3-{os.getpid()}")
    env = {**os.environ, "DATABASE_URL": f"sqlite:///{building}"}
    subprocess.run([sys.executable, "manage.py", "migrate", "-v", "0", "--skip-checks"], env=env, cwd=ROOT, check=True)
    # Out of the write-ahead log, so that one file is all there is to copy.
    book = sqlite3.connect(building)
    book.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    book.execute("PRAGMA journal_mode=DELETE")
    book.close()
    building.replace(path)


def copy_migrated(to: Path) -> None:
    """A fresh copy of it at that path."""
    source, copy = sqlite3.connect(migrated_file()), sqlite3.connect(to)
    source.backup(copy)
    source.close()
    copy.close()


def _fingerprint() -> str:
    parts = [ROOT / "requirements.txt", ROOT / "inventory" / "triggers.py", *sorted(ROOT.glob("*/migrations/*.py"))]
    found = hashlib.sha256()
    for part in parts:
        found.update(part.name.encode() + part.read_bytes())
    return found.hexdigest()[:24]
