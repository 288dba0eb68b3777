"""A PostgreSQL of one's own that may be crashed: a copy of the run's cluster, as careful as one in service.

The run's cluster is shared by all tests and need not survive anything; laying the tables out anew takes a minute. So
its files are copied while it runs, as the manual describes for a base backup by the low-level functions ("Making a
Base Backup Using the Low Level API", PostgreSQL documentation, chapter 25).
"""

import os
import shutil
import sys
from contextlib import suppress
from pathlib import Path
from urllib.parse import urlsplit

import psycopg

from config.throwaway_postgres import Cluster, free_port

FOLDER = "WICKTURN_CRASH_CLUSTER"
STAYS = {"postmaster.pid", "postmaster.opts"}


class Durable(Cluster):
    """`url` reaches the copied database `name`."""

    def __init__(self, folder: Path | None = None, port: int = 0):
        super().__init__()
        if folder:
            shutil.rmtree(self.folder)
            self.folder = folder
        self.port = port or free_port()

    @classmethod
    def of_environment(cls) -> "Durable | None":
        """In a process of its own: the cluster the test has made for it; None on SQLite."""
        if (folder := os.environ.get(FOLDER)) is None:
            return None
        return cls(Path(folder), urlsplit(os.environ["DATABASE_URL"]).port)

    def copy(self, url: str) -> str:
        """Take over the cluster at `url` and start; the copy's own URL."""
        with psycopg.connect(url, autocommit=True) as line:
            source = Path(line.execute("SHOW data_directory").fetchone()[0])
            line.execute("SELECT pg_backup_start('crashes', fast => true)")
            _copy(source, self.data)
            label = line.execute("SELECT labelfile FROM pg_backup_stop(wait_for_archive => false)").fetchone()[0]
            # Once more after the stop: only now the log holds all that makes one of what was copied file by file.
            _copy(source / "pg_wal", self.data / "pg_wal")
        (self.data / "backup_label").write_text(label)
        self.data.chmod(0o700)
        if self.as_root:
            for path in (self.folder, *self.folder.rglob("*")):
                shutil.chown(path, "postgres", "postgres")
        self.go()
        parts = urlsplit(url)
        return parts._replace(netloc=parts.netloc.replace(f":{parts.port}", f":{self.port}")).geturl()

    @property
    def data(self) -> Path:
        return self.folder / "data"

    def go(self) -> None:
        # The server's own defaults otherwise: what was committed is on the disk.
        settings = ["listen_addresses=127.0.0.1", f"port={self.port}", f"unix_socket_directories={self.folder}"]
        if sys.platform == "linux" and float((self.data / "PG_VERSION").read_text()) >= 14:
            # After a crash each of two thousand files would be synchronised by itself, which takes seconds.
            settings.append("recovery_init_sync_method=syncfs")
        options = " ".join(f"-c {setting}" for setting in settings)
        self.run("pg_ctl", "-D", self.data, "-l", self.folder / "log", "-o", options, "-w", "-t", "60", "start")

    def crash(self) -> None:
        """All its processes end at once and write nothing more; then it is started and recovers."""
        self.run("pg_ctl", "-D", self.data, "-m", "immediate", "-w", "stop")
        self.go()


def _copy(source: Path, to: Path) -> None:
    """Every file beneath; those that go meanwhile, as other tests' tables do, are made good by the log."""
    for folder, _, names in os.walk(source):
        here = to / Path(folder).relative_to(source)
        here.mkdir(exist_ok=True)
        for name in set(names) - STAYS:
            with suppress(FileNotFoundError):
                shutil.copyfile(Path(folder, name), here / name)
