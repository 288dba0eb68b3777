"""Processes that meet on one SQLite file, as the embedded book is used: every wait bounded."""

import subprocess
import textwrap

LONGEST = 60  # seconds for a process to start, act and end; a race that hangs fails

START = "import django, sys; django.setup()\n"
MEET = """
print("ready", flush=True)
sys.stdin.readline()
"""


def alone(database, code: str) -> str:
    """Run the code in a process of its own; returns what it printed."""
    return _finish(database.run("-c", START + code))


def race(database, *codes: str, before: str = "") -> list[str]:
    """Start a process for each piece of code, wait until all are ready, let them go; returns what each printed.

    `before` is what each of them does until it is ready: imports and look-ups that should not take part in the race.
    """
    codes = [START + before + MEET + textwrap.dedent(code) for code in codes]
    processes = [database.run("-c", code, stdin=subprocess.PIPE) for code in codes]
    try:
        for process in processes:
            assert process.stdout.readline() == "ready\n", process.stderr.read()
        for process in processes:
            process.stdin.write("go\n")
            process.stdin.flush()
        return [_finish(process) for process in processes]
    finally:
        for process in processes:
            process.kill()
            process.wait(LONGEST)


def _finish(process: subprocess.Popen) -> str:
    out, err = process.communicate(timeout=LONGEST)
    assert process.returncode == 0, err
    return out.strip()
