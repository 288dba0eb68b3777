"""The stem of the processes that race: Django is set up in it once, and each contestant is forked from it.

Reads a line of JSON a race, {database, before, codes}; answers with a line, [{out, err, code}] in the order of the
codes. Run as `python -m tests.races.stem`.
"""

import io
import json
import os
import sys
import traceback
from contextlib import redirect_stderr, redirect_stdout

import django


def serve() -> None:
    """Until its input closes, so that it never outlives the tests."""
    for line in sys.stdin:
        sys.stdout.write(json.dumps(run_race(**json.loads(line))) + "\n")
        sys.stdout.flush()


def run_race(database: str, before: str, codes: list[str]) -> list[dict]:
    """Fork one for each code, let them go together when all have done what comes before, and hear each out."""
    go, say_go = os.pipe()
    contestants = [start(database, before, code, go, say_go) for code in codes]
    os.close(go)
    first = [heard.readline() for _, heard in contestants]
    # All of them wait for this pipe to close.
    os.close(say_go)
    return [hear_out(*contestant, said) for contestant, said in zip(contestants, first, strict=True)]


def start(database: str, before: str, code: str, go: int, say_go: int) -> tuple[int, io.TextIOBase]:
    listen, speak = os.pipe()
    if pid := os.fork():
        os.close(speak)
        return pid, os.fdopen(listen, encoding="utf-8")
    os.close(listen)
    os.close(say_go)
    with os.fdopen(speak, "w", encoding="utf-8") as mouth:
        act(database, before, code, go, mouth)
    os._exit(0)


def act(database: str, before: str, code: str, go: int, mouth) -> None:
    """In the contestant: a line when it is ready, and one with what it printed and how it ended."""
    from django.db import connections

    connections.databases["default"]["NAME"] = database
    out, err, ended = io.StringIO(), io.StringIO(), 0
    with redirect_stdout(out), redirect_stderr(err):
        try:
            named = {"__name__": "__main__"}
            exec(before, named)
            mouth.write("ready\n")
            mouth.flush()
            os.read(go, 1)
            exec(code, named)
        except BaseException:  # noqa: BLE001 - also an exit: whatever it was, the race is told
            traceback.print_exc()
            ended = 1
        connections.close_all()
    mouth.write(json.dumps({"out": out.getvalue(), "err": err.getvalue(), "code": ended}) + "\n")


def hear_out(pid: int, heard, first: str) -> dict:
    with heard:
        # Who failed before it was ready has said how in the line that stands for "ready".
        said = heard.read() or first
    os.waitpid(pid, 0)
    return json.loads(said) if said.startswith("{") else {"out": "", "err": "it was killed", "code": 1}


if __name__ == "__main__":
    django.setup()
    from django.urls import get_resolver

    # What every contestant would import by itself.
    get_resolver().url_patterns  # noqa: B018
    import tests.factories  # noqa: F401

    serve()
