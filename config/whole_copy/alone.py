"""A lock between processes that no crash leaves behind: the system lets go of it when the process ends."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

try:
    import fcntl
except ImportError:  # Windows
    fcntl = None
    import msvcrt


@contextmanager
def alone(file: Path) -> Iterator[bool]:
    """Whether nobody else is within, for as long as the block runs; never waits."""
    with file.open("a", encoding="utf-8") as lock:
        try:
            if fcntl:
                fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
            else:
                msvcrt.locking(lock.fileno(), msvcrt.LK_NBLCK, 1)
        except OSError:
            mine = False
        else:
            mine = True
        yield mine
