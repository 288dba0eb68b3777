"""One writer's turn at a SQLite file, between threads and processes, in the order in which they came.

SQLite lets writers poll for its lock with growing pauses: who has just given it back is there first, and one of eight
may wait for seconds. Here they queue before they ask SQLite, at two files beside the database, locked by the system,
which wakes the next by itself and lets go when a process ends, however that comes about. Who comes stands at the
turnstile; who is through it waits for the pen and keeps the turnstile shut, so nobody slips past the head of the
queue; who has the pen opens the turnstile for the next. SQLite's own lock stays what is relied on: a writer that
knows nothing of this queue is waited for as ever.
"""

import os
import threading
import weakref
from contextlib import suppress
from sqlite3 import OperationalError
from stat import S_IMODE

try:
    from fcntl import LOCK_EX, LOCK_NB, LOCK_UN, flock
except ImportError:  # Windows: no such lock there can be waited for. Writers poll, as SQLite alone lets them.
    flock = None

QUEUE = ("-turnstile", "-pen")  # what the two files' names add to the database's
TOO_LONG = "database is locked: others wrote for more than {seconds:g} s before this one's turn came"


class Turn:
    """The turn of one connection at the database file `path`; `held` while it has it. Not for two threads at once."""

    def __init__(self, path: str, waits: float):
        self.path, self.waits, self.held = path, waits, False
        self._files: tuple[int, int] | None = None
        if flock:
            _all.add(self)

    def take(self) -> None:
        """Wait for the turn, at most `waits` seconds: then OperationalError, as SQLite's own."""
        if flock is None or self.held or not self._open():
            return
        if not self._finds_nobody():
            self._queue()
        self.held = True

    def give_back(self) -> None:
        """The next may write. Nothing where the turn is not held."""
        if self.held:
            self.held = False
            flock(self._files[1], LOCK_UN)

    def close(self) -> None:
        """Give everything back; the next take() opens the files anew."""
        self.give_back()
        self._forget()

    def __del__(self):
        self._forget()

    def _open(self) -> bool:
        if self._files is None:
            try:
                self._files = tuple(_file(self.path, end) for end in QUEUE)
            except OSError:
                # A book that can only be read has no writers to queue.
                return False
        return True

    def _finds_nobody(self) -> bool:
        turnstile, pen = self._files
        if not _at_once(turnstile):
            return False
        free = _at_once(pen)
        flock(turnstile, LOCK_UN)
        return free

    def _queue(self) -> None:
        """The system's lock knows no end of patience, so a thread waits for it and this one for the thread."""
        waiter, came = _Waiter(self._files), False
        threading.Thread(target=waiter.wait, daemon=True).start()
        try:
            came = waiter.came_within(self.waits)
        finally:
            if not came:
                # The files stay with the thread, which lets go of them when the turn comes.
                self._files = None
        if not came:
            raise OperationalError(TOO_LONG.format(seconds=self.waits))

    def _forget(self) -> None:
        for file in self._files or ():
            with suppress(OSError):
                os.close(file)
        self._files, self.held = None, False


class _Waiter:
    """Stands in the queue for a connection that may lose patience, or be interrupted."""

    def __init__(self, files: tuple[int, int]):
        self.files = files
        self._told, self._one_of_us = threading.Semaphore(0), threading.Lock()
        self._came = self._nobody_waits = False

    def wait(self) -> None:
        turnstile, pen = self.files
        flock(turnstile, LOCK_EX)
        flock(pen, LOCK_EX)
        flock(turnstile, LOCK_UN)
        with self._one_of_us:
            self._came = True
            if self._nobody_waits:
                _let_go(self.files)
        self._told.release()

    def came_within(self, seconds: float) -> bool:
        came = False
        try:
            came = self._told.acquire(timeout=seconds)
        finally:
            if not came:
                self._leave()
        return came

    def _leave(self) -> None:
        with self._one_of_us:
            self._nobody_waits = True
            if self._came:
                _let_go(self.files)


def _let_go(files: tuple[int, int]) -> None:
    for file in files:
        # By name and not by closing alone: a child process may share the open file.
        flock(file, LOCK_UN)
        os.close(file)


def _file(database: str, end: str) -> int:
    # Open to whom the database is open, as SQLite makes its own files beside it. To be locked it need not be written.
    mode = S_IMODE(os.stat(database).st_mode) if os.path.exists(database) else 0o600
    return os.open(database + end, os.O_RDONLY | os.O_CREAT | os.O_CLOEXEC, mode)


def _at_once(file: int) -> bool:
    try:
        flock(file, LOCK_EX | LOCK_NB)
    except BlockingIOError:
        return False
    return True


_all: "weakref.WeakSet[Turn]" = weakref.WeakSet()


def _in_child() -> None:
    # The open files are shared with the parent, whose turn would outlive it in the child.
    for turn in list(_all):
        turn._forget()


if hasattr(os, "register_at_fork"):
    os.register_at_fork(after_in_child=_in_child)
