"""A PostgreSQL of one's own that may be crashed: a copy of the run's cluster, as careful as one in service.

The run's cluster is shared by all tests and need not survive anything; laying the tables out anew takes a minute. So
its files are copied while it runs, as the manual describes for a base backup by the low-level functions ("Making a
Base Backup Using the Low Level API", PostgreSQL documentation, chapter 25).
"""

import os
import shutil
from pathlib import Path
from urllib.parse import urlsplit

import psycopg

from tests.postgres import Cluster, free_port

FOLDER = "WICKTURN_CRASH_CLUSTER"
STAYS = shutil.ignore_patterns("postmaster.pid", "postmaster.opts", "pg_wal", "pgsql_tmp*", "pg_replslot")


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
            shutil.copytree(source, self.data, ignore=STAYS)
            label = line.execute("SELECT labelfile FROM pg_backup_stop(wait_for_archive => false)").fetchone()[0]
            # After the stop, so that it holds all that the copy of the tables needs to be one.
            shutil.copytree(source / "pg_wal", self.data / "pg_wal")
        (self.data / "pg_replslot").mkdir()
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
        settings = ("listen_addresses=127.0.0.1", f"port={self.port}", f"unix_socket_directories={self.folder}")
        options = " ".join(f"-c {setting}" for setting in settings)
        self.run("pg_ctl", "-D", self.data, "-l", self.folder / "log", "-o", options, "-w", "-t", "60", "start")

    def crash(self) -> None:
        """All its processes end at once and write nothing more; then it is started and recovers."""
        self.run("pg_ctl", "-D", self.data, "-m", "immediate", "-w", "stop")
        self.go()
