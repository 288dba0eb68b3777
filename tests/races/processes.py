"""Processes that meet on one SQLite file, as the embedded book is used: every wait bounded."""

import atexit
import json
import os
import queue
import subprocess
import sys
import textwrap
import threading
from contextlib import suppress
from functools import cache

LONGEST = 60  # seconds for all of a race to begin, act and end; one that hangs fails
ROOT = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))


def alone(database, code: str) -> str:
    """Run the code in a process of its own; returns what it printed."""
    return race(database, code)[0]


def race(database, *codes: str, before: str = "") -> list[str]:
    """A process for each piece of code; when all are ready they go together. Returns what each printed.

    `before` is what each of them does until it is ready: imports and look-ups that should not take part in the race.
    """
    asked = {"database": str(database.path), "before": before, "codes": [textwrap.dedent(code) for code in codes]}
    ended = stem().ask(asked)
    for one in ended:
        assert one["code"] == 0, one["err"]
    return [one["out"].strip() for one in ended]


@cache
def stem() -> "Stem":
    """One for all races of this worker: it is started when first asked, and goes with the worker."""
    found = Stem()
    atexit.register(found.stop)
    return found


class Stem:
    def __init__(self):
        # The same house as the tests', but no test's database: each race names its own.
        env = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
        self.process = subprocess.Popen(
            [sys.executable, "-m", "tests.races.stem"],
            env=env,
            cwd=ROOT,
            text=True,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            start_new_session=True,
        )
        self.answers: queue.SimpleQueue[str] = queue.SimpleQueue()
        threading.Thread(target=self._listen, daemon=True).start()

    def _listen(self) -> None:
        for line in self.process.stdout:
            self.answers.put(line)
        self.answers.put("")

    def ask(self, race: dict) -> list[dict]:
        self.process.stdin.write(json.dumps(race) + "\n")
        self.process.stdin.flush()
        try:
            answer = self.answers.get(timeout=LONGEST)
        except queue.Empty:
            answer = ""
        if not answer:
            self.stop()
            stem.cache_clear()
            raise AssertionError(f"the race did not end within {LONGEST} s")
        return json.loads(answer)

    def stop(self) -> None:
        """With all it forked: they are of its session."""
        with suppress(ProcessLookupError):
            os.killpg(self.process.pid, 9)
        self.process.wait(LONGEST)
