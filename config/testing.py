"""`manage.py test`: everything on SQLite with the browser, then all that is about a database again on PostgreSQL."""

import os
import subprocess
import sys
import tempfile
from pathlib import Path

from config.bootstrap import ROOT
from config.telling import complain, say

NOTHING_RAN, INTERRUPTED = 5, 2  # pytest's own exit codes
SUMMARY_FILE = "WICKTURN_TEST_SUMMARY"
# Each worker may have a browser open; more than four of those ask for more memory than a small machine has.
MOST_WORKERS = 4
RUNS = {"SQLite": ["--database=sqlite"], "PostgreSQL": ["--database=postgresql"]}


def run_tests(arguments: list[str]) -> int:
    """Run pytest once a database with these arguments; 0 when both runs are green and at least one test ran."""
    codes, summaries = {}, {}
    named = any(argument.startswith("--database") for argument in arguments)
    for name, database in ({"one database": []} if named else RUNS).items():
        say(f"\nOn {name}:")
        codes[name], summaries[name] = run_once([*database, *workers(arguments), *arguments])
        if codes[name] == INTERRUPTED:
            complain("Stopped.")
            return 130
    say()
    for name, summary in summaries.items():
        say(f"{name + ':':12} {summary}")
    return judge(codes)


def run_once(arguments: list[str]) -> tuple[int, str]:
    """pytest's exit code with these arguments, and its summary line."""
    with tempfile.TemporaryDirectory(prefix="wickturn-summary-") as folder:
        summary = Path(folder) / "summary"
        command = [sys.executable, "-m", "pytest", *arguments]
        code = subprocess.run(
            command, cwd=ROOT, env={**os.environ, SUMMARY_FILE: str(summary)}, check=False
        ).returncode
        return code, summary.read_text(encoding="utf-8") if summary.exists() else f"ended with code {code}"


def workers(arguments: list[str]) -> list[str]:
    """In parallel, unless the arguments say how many, or want to talk to the one process there is."""
    own = ("-n", "--numprocesses", "--pdb", "--trace", "--collect-only", "--co", "-s", "--capture=no")
    if any(argument.startswith(own[:2]) or argument in own for argument in arguments):
        return []
    # Browser tests take a hundred times as long as most: who is done first takes over what another still has.
    return ["-n", "auto", "--maxprocesses", str(MOST_WORKERS), "--dist", "worksteal"]


def judge(codes: dict[str, int]) -> int:
    """The closing line. A run with nothing to do is fine beside one that had something: a browser test has no second
    database."""
    failed = [name for name, code in codes.items() if code not in (0, NOTHING_RAN)]
    if failed:
        say(f"FAILED on {' and '.join(failed)}.")
        return 1
    if all(code == NOTHING_RAN for code in codes.values()):
        say("FAILED: no test was found to run.")
        return 1
    say("Everything passed.")
    return 0
