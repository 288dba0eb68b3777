"""The worker beside the server: kept running, started again, never left behind."""

import signal
import subprocess
import sys
import threading
import time
from subprocess import PIPE
from unittest.mock import MagicMock

import pytest
from django.core.management import call_command
from django.db import OperationalError

from config import worker
from config.worker import keep_worker
from tests.conftest import ROOT

LONGEST = 20  # seconds any wait may last
ENDS_WITH_PARENT = (
    "import threading; from config.worker import end_with_parent; end_with_parent(); print('on', flush=True); "
    "threading.Event().wait()"
)


def until(what) -> None:
    ends = time.monotonic() + LONGEST
    while not what():
        assert time.monotonic() < ends, "it never came to pass"
        time.sleep(0.01)


def dying(code: str) -> list[str]:
    return [sys.executable, "-S", "-c", code]


def test_a_worker_that_dies_is_started_again_and_ends_with_the_server(monkeypatch):
    monkeypatch.setattr(worker, "FIRST_WAIT_S", 0.01)
    with keep_worker({}, dying("import sys; sys.exit(3)")) as keeper:
        until(lambda: keeper.starts >= 3)
    assert keeper.process.poll() is not None


def test_a_worker_that_runs_is_ended_with_the_server():
    with keep_worker({}, dying("import threading; threading.Event().wait()")) as keeper:
        until(lambda: keeper.process is not None)
        assert keeper.process.poll() is None
    assert keeper.process.poll() is not None


def test_one_that_will_not_end_is_killed(monkeypatch):
    monkeypatch.setattr(worker, "ENDS_WITHIN_S", 0.2)
    deaf = "import signal, threading; signal.signal(15, signal.SIG_IGN); print('on', flush=True)\n"
    deaf += "while True: threading.Event().wait(60)"
    with keep_worker({}, dying(deaf)) as keeper:
        until(lambda: keeper.process is not None)
    assert keeper.process.poll() is not None


def test_a_worker_whose_server_was_killed_ends_by_itself():
    child = subprocess.Popen([sys.executable, "-c", ENDS_WITH_PARENT], cwd=ROOT, stdin=PIPE, stdout=PIPE)
    assert child.stdout.readline() == b"on\n"
    child.stdin.close()
    assert child.wait(LONGEST) == 1
    child.stdout.close()


def test_a_server_whose_serve_was_killed_is_asked_to_end():
    code = "import threading; from config.beside import on_starting; on_starting(None); print('on', flush=True); "
    child = subprocess.Popen(
        [sys.executable, "-c", code + "threading.Event().wait()"], cwd=ROOT, stdin=PIPE, stdout=PIPE
    )
    assert child.stdout.readline() == b"on\n"
    child.stdin.close()
    assert child.wait(LONGEST) == -signal.SIGTERM
    child.stdout.close()


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("asked", [True, False])
def test_a_worker_of_its_own_keeps_copies_where_it_is_asked_to(asked, monkeypatch, settings, tmp_path):
    settings.DATA_DIR = tmp_path / "data"
    began = threading.Event()
    # The tests do tasks where they are asked for, so there are no rows of them to prune.
    monkeypatch.setattr("config.management.commands.worker.call_command", lambda *command, **options: None)
    monkeypatch.setattr("config.management.commands.worker.keep_copies", lambda after: began.set())
    monkeypatch.setattr("config.management.commands.worker.FloorWorker", MagicMock())
    monkeypatch.setattr("config.management.commands.worker.signal.signal", lambda number, do: None)
    call_command("worker", once=True, copies=asked)
    assert began.wait(LONGEST if asked else 0) is asked
    assert settings.DATA_DIR.exists() is asked


@pytest.mark.django_db(transaction=True)
def test_a_worker_whose_database_went_away_ends_with_one_line(monkeypatch, caplog):
    monkeypatch.setattr("config.management.commands.worker.call_command", lambda *command, **options: None)
    worker_class = MagicMock()
    worker_class.return_value.run.side_effect = OperationalError("connection to 192.0.2.9 refused")
    monkeypatch.setattr("config.management.commands.worker.FloorWorker", worker_class)
    monkeypatch.setattr("config.management.commands.worker.signal.signal", lambda number, do: None)
    with pytest.raises(SystemExit, match="1"):
        call_command("worker", once=True)
    assert [record.getMessage().partition(",")[0] for record in caplog.records] == ["The database went away"]
