"""The test command itself: how it judges two runs, and what it says where something is missing."""

import subprocess
import sys

import pytest

from config import testing, throwaway_postgres
from config.machine import CHROMIUM, Missing
from config.testing import NOTHING_RAN, judge, workers
from tests.conftest import ROOT

pytestmark = pytest.mark.sqlite


@pytest.mark.parametrize(
    ("sqlite", "postgresql", "code", "words"),
    [
        (0, 0, 0, "Everything passed."),
        (0, NOTHING_RAN, 0, "Everything passed."),
        (NOTHING_RAN, 0, 0, "Everything passed."),
        (1, 0, 1, "FAILED on SQLite."),
        (0, 1, 1, "FAILED on PostgreSQL."),
        (1, 4, 1, "FAILED on SQLite and PostgreSQL."),
        (NOTHING_RAN, 1, 1, "FAILED on PostgreSQL."),
        (NOTHING_RAN, NOTHING_RAN, 1, "FAILED: no test was found to run."),
    ],
)
def test_both_runs_count(sqlite, postgresql, code, words, capsys):
    assert judge({"SQLite": sqlite, "PostgreSQL": postgresql}) == code
    assert capsys.readouterr().out == words + "\n"


@pytest.mark.parametrize("argument", ["-n3", "-n", "--numprocesses=2", "--pdb", "-s"])
def test_own_wish_for_processes_is_kept(argument):
    assert workers(["tests/orders", argument]) == []


def test_runs_in_parallel_unasked():
    assert workers(["tests/orders", "--long", "-k", "note"])[:2] == ["-n", "auto"]


@pytest.mark.parametrize(
    ("arguments", "databases"),
    [
        (["tests/orders"], ["--database=sqlite", "--database=postgresql"]),
        (["--database", "postgresql"], ["--database"]),
    ],
)
def test_arguments_reach_both_runs(arguments, databases, monkeypatch, capsys):
    runs = []
    monkeypatch.setattr(testing, "run_once", lambda given: runs.append(given) or (0, f"{len(runs)} passed"))
    assert testing.run_tests(arguments) == 0
    assert [run[0] if "=" in run[0] else run[run.index("--database")] for run in runs] == databases
    assert all(run[-len(arguments) :] == arguments for run in runs)
    lines = capsys.readouterr().out.splitlines()
    assert [line.split(":")[1].strip() for line in lines[-1 - len(runs) : -1]] == [
        f"{n} passed" for n in range(1, len(runs) + 1)
    ]
    assert lines[-1] == "Everything passed."


def test_missing_server_stops_the_run_with_a_sentence(monkeypatch):
    monkeypatch.setattr(throwaway_postgres, "find_postgres", lambda: None)
    with pytest.raises(Missing, match="apt-get install postgresql"):
        throwaway_postgres.Cluster()


def test_missing_browser_fails_the_test(tmp_path):
    """With nothing on PATH the browser test fails, and says which package it wants."""
    test = ROOT / "tests" / "browser" / "test_page.py"
    command = [sys.executable, "-m", "pytest", "-p", "no:cacheprovider", str(test)]
    done = subprocess.run(command, cwd=ROOT, env={"PATH": str(tmp_path)}, capture_output=True, text=True, check=False)
    assert done.returncode == 1
    assert CHROMIUM.missing().args[0].splitlines()[1].strip() in done.stdout
    assert "skipped" not in done.stdout
