"""The book served as its owner serves it, by manage.py in a process group of its own, and its parts to be killed."""

import os
import signal
import subprocess
import sys
import time
from http.client import HTTPConnection, HTTPException
from pathlib import Path

from config.bootstrap import ROOT
from config.telling import say

LONGEST = 90.0  # seconds any start or end may take on a busy machine


def until(what, said: str):
    """Wait for something to be true; what it gave. AssertionError where it never is."""
    ends = time.monotonic() + LONGEST
    while not (found := what()):
        assert time.monotonic() < ends, said
        time.sleep(0.02)
    return found


def health(port: int) -> int:
    """What the health check answers; 0 where nobody does."""
    asking = HTTPConnection("127.0.0.1", port, timeout=LONGEST)
    try:
        asking.request("GET", "/health/")
        return asking.getresponse().status
    except (OSError, HTTPException):
        return 0
    finally:
        asking.close()


def report(complaints: list[str], log: Path) -> int:
    """Say the complaints and what the servers said last; the exit code."""
    for complaint in complaints:
        say(complaint)
    if complaints:
        say(log.read_text()[-4000:])
    return 1 if complaints else 0


class Served:
    """`manage.py` with these arguments; what it says goes to the end of `log`."""

    def __init__(self, log: Path, *arguments: str):
        self.log, self.arguments, self.process = log, arguments, None

    def start(self) -> None:
        with self.log.open("a") as said:
            self.process = subprocess.Popen(
                [sys.executable, "manage.py", *self.arguments],
                cwd=ROOT, stdin=subprocess.DEVNULL, stdout=said, stderr=said, start_new_session=True,
            )  # fmt: skip

    def parts(self) -> dict[str, list[int]]:
        """Process numbers of what runs: serve, master and process of the server, and the worker beside it."""
        found = {"serve": [self.process.pid], "master": [], "process": [], "worker": []}
        for pid, words in children(self.process.pid):
            kind = "master" if "gunicorn" in words else "worker" if "worker" in words else "other"
            found.setdefault(kind, []).append(pid)
            if kind == "master":
                found["process"] += [pid for pid, _ in children(pid)]
        return found

    def kill(self, kind: str) -> bool:
        """kill -9 one part, or "all" of them at once; whether the server has to be started again."""
        if kind == "all":
            os.killpg(self.process.pid, signal.SIGKILL)
        else:
            os.kill(self.wait_for(kind)[-1], signal.SIGKILL)
        return kind in ("all", "serve", "master")

    def wait_for(self, kind: str) -> list[int]:
        return until(lambda: self.parts()[kind], f"no {kind} is running")

    def wait_until_gone(self) -> None:
        """Until no process of it is left, by itself."""
        self.process.wait(LONGEST)
        until(lambda: not in_group(self.process.pid), "something of the server outlived it")

    def end(self) -> None:
        if self.process and in_group(self.process.pid):
            os.killpg(self.process.pid, signal.SIGKILL)
            self.process.wait(LONGEST)


def _stat(pid: str) -> list[str]:
    """proc(5): state, parent, group ... of a process; nothing where it is no more, or only a name is left of it."""
    try:
        fields = Path("/proc", pid, "stat").read_text().rpartition(")")[2].split()
    except OSError:
        return []
    return [] if fields[0] == "Z" else fields


def _processes() -> dict[int, list[str]]:
    return {int(pid): stat for pid in os.listdir("/proc") if pid.isdecimal() and (stat := _stat(pid))}


def children(parent: int) -> list[tuple[int, list[str]]]:
    """Number and command line of each child, oldest first."""
    found = []
    for pid, stat in sorted(_processes().items()):
        if int(stat[1]) == parent:
            try:
                found.append((pid, Path("/proc", str(pid), "cmdline").read_text().split("\0")))
            except OSError:
                continue
    return found


def in_group(group: int) -> list[int]:
    return [pid for pid, stat in _processes().items() if int(stat[2]) == group]
