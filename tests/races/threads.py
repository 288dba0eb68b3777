"""Threads that meet: each with a connection of its own, every wait bounded."""

import threading
from collections.abc import Callable

from django.db import connection, transaction

LONGEST = 20  # seconds any wait may last; a race that hangs fails, it does not stop the suite


def together(*acts: Callable, within: float = LONGEST) -> list:
    """Run the acts at once, started by one barrier. Returns what each returned, or the exception it raised.

    `within`: seconds that each may take.
    """
    barrier, results = threading.Barrier(len(acts)), [None] * len(acts)

    def run(place: int, act: Callable) -> None:
        try:
            connection.ensure_connection()
            barrier.wait(LONGEST)
            results[place] = act()
        except Exception as error:  # noqa: BLE001 - the test looks at it
            results[place] = error
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=pair, daemon=True) for pair in enumerate(acts)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(within)
    assert not any(thread.is_alive() for thread in threads), "a thread hangs: a lock is not given back"
    return results


def second_waits_for_first(first: Callable, second: Callable) -> list:
    """`first` acts and keeps its transaction open until `second` is seen waiting for a lock; then it commits.

    Proves the lock itself: without it, `second` would not wait. PostgreSQL only (pg_locks).
    """
    holding, may_commit = threading.Event(), threading.Event()

    def hold():
        with transaction.atomic():
            result = first()
            holding.set()
            assert may_commit.wait(LONGEST)
        return result

    def follow():
        assert holding.wait(LONGEST)
        return second()

    def watch():
        try:
            assert holding.wait(LONGEST)
            seen = _somebody_waits()
        finally:
            may_commit.set()
        return seen

    *results, seen = together(hold, follow, watch)
    assert seen is True, f"the second did not wait for the first: {seen!r}"
    return results


def _somebody_waits() -> bool:
    pause = threading.Event()
    with connection.cursor() as cursor:
        for _ in range(LONGEST * 50):
            cursor.execute(
                "SELECT count(*) FROM pg_stat_activity WHERE datname = current_database() AND wait_event_type = 'Lock'"
            )
            if cursor.fetchone()[0]:
                return True
            pause.wait(0.02)
    return False
