"""The worker beside the server: one process that does what takes longer than a page may. It is started again where it
dies, and goes when the server goes, however that ends.
"""

import os
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from config.bootstrap import ROOT

COMMAND = [sys.executable, "-m", "django", "worker", "--beside-server"]
# A worker that dies at once would be started over and over: each time it waits twice as long, at most a minute.
FIRST_WAIT_S, LONGEST_WAIT_S, SOUND_AFTER_S = 1.0, 60.0, 60.0
ENDS_WITHIN_S = 5.0


@contextmanager
def keep_worker(environment: dict[str, str], command: list[str] | None = None) -> Iterator["Keeper"]:
    """Keep a worker running inside the `with`; `environment` names the book, as the server's does."""
    keeper = Keeper(environment, command or COMMAND)
    thread = threading.Thread(target=keeper.keep, daemon=True)
    thread.start()
    try:
        yield keeper
    finally:
        keeper.stop()
        thread.join(ENDS_WITHIN_S * 2)


class Keeper:
    """Starts the worker again and again until it is stopped. `starts` counts them."""

    def __init__(self, environment: dict[str, str], command: list[str]):
        self.environment, self.command, self.starts = environment, command, 0
        self.process: subprocess.Popen | None = None
        self._stopping = threading.Event()

    def keep(self) -> None:
        wait = FIRST_WAIT_S
        while not self._stopping.is_set():
            # The worker ends when this pipe closes: also where the server is killed and can stop nobody any more.
            self.process = subprocess.Popen(self.command, cwd=ROOT, env=self.environment, stdin=subprocess.PIPE)
            self.starts += 1
            if self._stopping.is_set():
                self._end()
                return
            try:
                self.process.wait(SOUND_AFTER_S)
            except subprocess.TimeoutExpired:
                wait = FIRST_WAIT_S
                self.process.wait()
            self.process.stdin.close()
            self._stopping.wait(wait)
            wait = min(2 * wait, LONGEST_WAIT_S)

    def stop(self) -> None:
        self._stopping.set()
        self._end()

    def _end(self) -> None:
        if self.process is None:
            return
        self.process.terminate()
        try:
            self.process.wait(ENDS_WITHIN_S)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait()


def end_with_parent(end: Callable[[], None] = lambda: os._exit(1)) -> None:
    """In a process that was started with a pipe for its input: end when that closes, however it came about.

    At once unless told otherwise: a worker's main thread may be deep in a computation, and what it was at is found as
    stopped by its lease.
    """

    def watch() -> None:
        while os.read(sys.stdin.fileno(), 1024):
            pass
        end()

    threading.Thread(target=watch, daemon=True).start()
