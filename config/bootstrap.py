"""From a bare Python to a running command: the environment, its packages, and what the machine must have.

Standard library only, and readable by a Python that is too old, so that it can say so. Once set up it costs one look
at a stamp. Processes are started and waited for, never replaced: Windows has no exec worth the name.
"""

import hashlib
import os
import re
import signal
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

from config import machine
from config.machine import Missing
from config.telling import busy, complain, say

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
STAMP = VENV / "wickturn-stamp"
PYTHON = VENV / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
OLDEST = (3, 11)
# Set for the process that goes on inside .venv: the one before it has already looked after everything.
DONE = "WICKTURN_SET_UP"
RUNS, TESTS = "requirements.txt", "tests/requirements.txt"
OPENS_A_BOOK = {"audit"}
COMMANDS = """\
Wickturn, the order and batch book of a candle workshop.

    python3 manage.py demo [--no-serve] [--port N]     the demo workshop, on this machine only
    python3 manage.py serve [--host H] [--port N]      your own book; the first start asks for the owner
    python3 manage.py test [--long] [pytest args]      every test, on SQLite and on PostgreSQL
    python3 manage.py audit                            does everything in the book still add up?
    python3 manage.py plan [--json] [--instance FILE]  the dip plan, of the book or of an instance in a file

The first run of each sets up what it needs, in .venv beside this file. Any other Django command works as well."""


def main(argv):
    """Run `manage.py` with these arguments; gives the exit code."""
    if sys.version_info < OLDEST:
        complain("Wickturn needs Python 3.11 or newer; this is {}.{}.".format(*sys.version_info))
        return 1
    if len(argv) < 2 or argv[1:] in (["help"], ["-h"], ["--help"]):
        say(COMMANDS)
        return 0
    try:
        python = choose_python(argv[1])
        if python is None:
            return go_on(argv)
        return hand_over([str(python), *argv])
    except Missing as missing:
        complain(str(missing))
        return 1
    except KeyboardInterrupt:
        complain("Stopped.")
        return 130


def choose_python(command):
    """The Python to hand over to once everything is there, or None for this one."""
    files = [RUNS, TESTS] if command == "test" else [RUNS]
    lacking = find_lacking(files)
    if os.environ.get(DONE) == sys.prefix:
        if lacking:
            raise Missing(f"{VENV} should hold {lacking[0]} and does not: delete that folder and start again.")
        return None
    for need in needs_of(command):
        machine.provide(need)
    if not lacking:
        return None
    if not is_stamped(files):
        set_up(files)
    return PYTHON


def needs_of(command):
    prints, tests = [machine.PANGO], [machine.CHROMIUM, machine.POSTGRESQL]
    return {"demo": prints, "serve": prints, "test": prints + tests}.get(command, [])


def find_lacking(files):
    """The pinned packages, as name==version, which this Python has not got in that version."""
    from importlib.metadata import PackageNotFoundError, version

    lacking = []
    for file in files:
        for line in (ROOT / file).read_text(encoding="utf-8").splitlines():
            pin = re.match(r"([\w.-]+)(?:\[\w+\])?==([\w.]+)(.*win32)?", line)
            if not pin or (pin.group(3) and sys.platform == "win32"):
                continue
            try:
                if version(pin.group(1)) != pin.group(2):
                    lacking.append(f"{pin.group(1)}=={pin.group(2)}")
            except PackageNotFoundError:
                lacking.append(f"{pin.group(1)}=={pin.group(2)}")
    return lacking


def stamps(files):
    """What the stamp says of each file once it is installed: its name and digest."""
    return [f"{file} {hashlib.sha256((ROOT / file).read_bytes()).hexdigest()}" for file in files]


def is_stamped(files):
    # Run from inside .venv we only get here because something is gone from it, whatever the stamp says.
    if not STAMP.exists() or not PYTHON.exists() or Path(sys.prefix) == VENV:
        return False
    return set(stamps(files)) <= set(STAMP.read_text(encoding="utf-8").splitlines())


def set_up(files):
    """Make .venv where there is none that works, and install the files into it. Raises Missing."""
    say(f"Setting Wickturn up in {VENV}; this happens once.")
    if not works(PYTHON):
        make_venv()
    wanted = [part for file in files for part in ("-r", str(ROOT / file))]
    try:
        with busy(f"Installing what {' and '.join(files)} name"):
            machine.run([str(PYTHON), "-m", "pip", "install", "--disable-pip-version-check", *wanted])
    except Missing as failed:
        raise Missing(
            f"The packages could not be installed. Is this machine online, and may it write to {VENV}?\n{failed}"
        ) from None
    STAMP.write_text("\n".join(stamps(files)) + "\n", encoding="utf-8")


def works(python):
    """Whether this Python starts, is new enough and has pip: an interrupted set-up leaves less."""
    probe = f"import sys, pip; sys.exit(sys.version_info < {OLDEST})"
    try:
        return subprocess.run([str(python), "-c", probe], stderr=subprocess.DEVNULL, check=False).returncode == 0
    except OSError:
        return False


def make_venv():
    package = "python{}.{}-venv".format(*sys.version_info)
    # Debian keeps the part of Python that makes environments in a package of its own.
    if find_spec("ensurepip") is None or find_spec("venv") is None:
        advice = f"This Python cannot make an environment. On Debian and Ubuntu: apt-get install {package}"
        if not machine.may_install():
            raise Missing(advice)
        try:
            machine.install("Python's venv", package)
        except Missing as failed:
            raise Missing(f"{advice}\n{failed}") from None
    with busy("Making the environment"):
        machine.run([sys.executable, "-m", "venv", "--clear", str(VENV)])


def hand_over(command):
    """Start the command in .venv and wait for it; its exit code is ours."""
    process = subprocess.Popen(command, env={**os.environ, DONE: str(VENV)})
    return wait_for(process)


def stop_together(process):
    """Pass SIGTERM on. Ctrl-C needs no help: the terminal sends it to both of us."""
    signal.signal(signal.SIGTERM, lambda *_: process.terminate())


def wait_for(process):
    """Wait until it ends, whoever stops it; gives its exit code as a shell would."""
    stop_together(process)
    while True:
        try:
            code = process.wait()
            return code if code >= 0 else 128 - code
        except KeyboardInterrupt:
            continue


def go_on(argv):
    """Everything is there: run the command in this process."""
    if argv[1] == "test":
        from config.testing import run_tests

        return run_tests(argv[2:])
    choose_book(argv[1])
    from django.core.management import execute_from_command_line

    execute_from_command_line(argv)
    return 0


def choose_book(command):
    """Name the database before Django reads its settings: the demo and one's own book never share one."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    if command == "demo":
        os.environ.update(WICKTURN_DEMO="1", WICKTURN_PLAIN_HTTP="1")
        if os.environ.pop("DATABASE_URL", None):
            say("DATABASE_URL is left alone: the demo keeps to a file of its own.")
    elif command == "serve":
        os.environ["WICKTURN_DEMO"] = "0"
    elif command in OPENS_A_BOOK and not os.environ.get("DATABASE_URL"):
        data = Path(os.environ.get("WICKTURN_DATA", ROOT / ".book"))
        if not any((data / name).exists() for name in ("book.sqlite3", "demo.sqlite3")):
            raise Missing(f"There is no book in {data} yet: start with `python3 manage.py demo` or `serve`.")
