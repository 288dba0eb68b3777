"""Writers of a SQLite file queue: in their order, with patience that ends, freed by whatever ends the one before."""

import os
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest
from django.conf import settings
from django.db import IntegrityError, OperationalError, connection, transaction
from django.db.utils import ConnectionHandler

from config.fair_sqlite import turn as turns
from inventory.models import Shelf
from tests.factories import make_shelf

pytestmark = [
    pytest.mark.sqlite,
    pytest.mark.skipif(turns.flock is None, reason="there is no such lock here: writers poll"),
]
LONGEST = 20
HOLD = """
import sqlite3, sys, time
from config.fair_sqlite.turn import Turn
turn = Turn(sys.argv[1], 5)
turn.take()
print("held", flush=True)
time.sleep(60)
"""


@pytest.fixture
def file(tmp_path) -> str:
    return str(tmp_path / "book.sqlite3")


@pytest.fixture
def opened(file, django_db_blocker):
    """`opened(timeout=1)`: a connection of the house's kind to the file, closed at the end."""
    # A file of the test's own: no database that others look at is touched.
    with django_db_blocker.unblock():
        yield from _opened(file)


def _opened(file: str):
    made = []

    def make(timeout: float = LONGEST):
        options = {**settings.SQLITE["OPTIONS"], "timeout": timeout}
        one = ConnectionHandler({"default": {**settings.SQLITE, "NAME": file, "OPTIONS": options}})["default"]
        one.inc_thread_sharing()
        one.ensure_connection()
        made.append(one)
        return one

    with make().cursor() as cursor:
        cursor.execute("CREATE TABLE word (said text)")
    yield make
    for one in made:
        one.close()


def begin(one) -> None:
    one.cursor().execute("BEGIN IMMEDIATE")


def say(one, word: str) -> None:
    one.cursor().execute("INSERT INTO word VALUES (%s)", [word])


def words(one) -> list[str]:
    with one.cursor() as cursor:
        cursor.execute("SELECT said FROM word ORDER BY rowid")
        return [said for (said,) in cursor.fetchall()]


def beside(act, *given) -> threading.Thread:
    thread = threading.Thread(target=act, args=given, daemon=True)
    thread.start()
    return thread


def waiting(file: str) -> int:
    """How many stand at the file's queue, as the system sees it."""
    inodes = {str(os.stat(file + end).st_ino) for end in turns.QUEUE}
    rows = [line.split() for line in Path("/proc/locks").read_text().splitlines()]
    return sum(1 for row in rows if "->" in row and row[-3].split(":")[-1] in inodes)


def until(true) -> None:
    end = time.monotonic() + LONGEST
    while not true():
        assert time.monotonic() < end, "it never came about"
        time.sleep(0.005)


@pytest.mark.skipif(not Path("/proc/locks").exists(), reason="only Linux tells who waits")
def test_writers_come_in_the_order_in_which_they_asked(opened, file):
    first, others = opened(), [opened() for _ in range(6)]
    begin(first)
    threads = []
    for place, other in enumerate(others):
        threads.append(beside(say, other, f"{place}"))
        until(lambda here=place + 1: waiting(file) == here)
    first.commit()
    for thread in threads:
        thread.join(LONGEST)
    assert words(first) == ["0", "1", "2", "3", "4", "5"]


@pytest.mark.skipif(not Path("/proc/locks").exists(), reason="only Linux tells who waits")
def test_one_that_writes_again_at_once_comes_after_who_waited(opened, file):
    greedy, patient = opened(), opened()
    for n in range(20):
        begin(greedy)
        thread = beside(say, patient, "patient")
        until(lambda: waiting(file) == 1)
        greedy.commit()
        begin(greedy)
        assert len(words(greedy)) == n + 1
        greedy.commit()
        thread.join(LONGEST)


def test_patience_ends_with_a_plain_word_and_the_turn_is_passed_on(opened):
    first, hasty, next_one = opened(), opened(timeout=0.2), opened()
    begin(first)
    with pytest.raises(OperationalError, match=r"database is locked: others wrote for more than 0\.2 s"):
        say(hasty, "too soon")
    thread = beside(say, next_one, "in turn")
    first.commit()
    thread.join(LONGEST)
    say(hasty, "later")
    assert words(first) == ["in turn", "later"]


def test_one_interrupted_while_it_waits_leaves_the_queue(opened, monkeypatch):
    first, other = opened(), opened()
    begin(first)

    def interrupted(self, timeout):
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr(turns.threading.Semaphore, "acquire", interrupted)
        with pytest.raises(KeyboardInterrupt):
            say(other, "never")
    first.commit()
    say(other, "at last")
    assert words(first) == ["at last"]


def test_a_killed_process_gives_its_turn_back(opened, file):
    one = opened()
    holder = subprocess.Popen([sys.executable, "-c", HOLD, file], stdout=subprocess.PIPE, cwd=settings.BASE_DIR)
    assert holder.stdout.readline() == b"held\n"
    thread = beside(say, one, "after it")
    holder.send_signal(signal.SIGKILL)
    holder.wait(LONGEST)
    thread.join(LONGEST)
    holder.stdout.close()
    assert words(one) == ["after it"]


def test_a_child_neither_ends_its_parents_turn_nor_keeps_it(opened):
    first, other = opened(), opened(timeout=0.3)
    begin(first)
    end, parents_end = os.pipe()
    if (child := os.fork()) == 0:
        # In the child: whatever it does with what it inherited, the turn is the parent's.
        first.connection.turn.close()
        os.close(parents_end)
        os.read(end, 1)
        os._exit(0)
    try:
        with pytest.raises(OperationalError, match="database is locked"):
            say(other, "not yet")
        first.commit()
        say(other, "while the child lives")
    finally:
        os.close(parents_end)
        os.close(end)
        os.waitpid(child, 0)
    assert words(first) == ["while the child lives"]


def test_single_writes_queue_too_and_reading_never_does(opened):
    first, other = opened(), opened(timeout=0.1)
    begin(first)
    assert words(other) == []
    for write in (
        "UPDATE word SET said = ''",
        "DELETE FROM word",
        "  insert into word values ('')",
        "DROP TABLE word",
    ):
        with pytest.raises(OperationalError, match="others wrote"):
            other.cursor().execute(write)
    with pytest.raises(OperationalError, match="others wrote"):
        other.cursor().executemany("INSERT INTO word VALUES (%s)", [["a"], ["b"]])
    first.commit()
    other.cursor().executemany("INSERT INTO word VALUES (%s)", [["a"], ["b"]])
    assert not other.connection.turn.held
    assert words(first) == ["a", "b"]


def held() -> bool:
    return connection.connection.turn.held


@pytest.mark.django_db(transaction=True)
def test_a_transaction_keeps_its_turn_to_its_outer_end():
    with transaction.atomic():
        assert held()
        with transaction.atomic():
            make_shelf(code="A1")
        assert held()
    assert not held()
    with pytest.raises(ZeroDivisionError), transaction.atomic():
        raise ZeroDivisionError
    assert not held()
    with pytest.raises(IntegrityError), transaction.atomic():
        make_shelf(code="A1")
    assert not held()
    assert Shelf.objects.filter(code="A1").update(walk=7) == 1
    assert not held()


@pytest.mark.django_db(transaction=True)
def test_a_commit_that_fails_gives_the_turn_back():
    with pytest.raises(IntegrityError), transaction.atomic(), connection.cursor() as cursor:
        # Foreign keys are looked at when the transaction ends.
        cursor.execute("INSERT INTO orders_address (shop_id, kind, label, lines, town, postcode, country, usual) "
                       "VALUES (99, 'delivery', '', '', '', '', 'GB', 0)")  # fmt: skip
    assert not held()


@pytest.mark.django_db(transaction=True)
def test_a_connection_closed_in_a_transaction_gives_the_turn_back():
    with transaction.atomic():
        make_shelf(code="A1")
        old = connection.connection
        connection.close()
        assert not old.turn.held
    assert not Shelf.objects.filter(code="A1").exists()


def test_where_there_is_no_such_lock_sqlite_waits_by_itself(opened, monkeypatch):
    monkeypatch.setattr(turns, "flock", None)
    first, other = opened(), opened(timeout=0.1)
    begin(first)
    with pytest.raises(OperationalError, match=r"database is locked$"):
        say(other, "polls")
    first.commit()
    say(other, "polls")
    assert words(first) == ["polls"]


def test_a_database_in_memory_has_no_queue(django_db_blocker):
    with django_db_blocker.unblock():
        one = ConnectionHandler({"default": {**settings.SQLITE, "NAME": ":memory:"}})["default"]
        one.ensure_connection()
    assert one.connection.turn is None
    one.connection.close()
