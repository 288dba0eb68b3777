"""The measure of writers: each client does what is counted, the bare loops as many rows as they say."""

import sqlite3
from contextlib import closing

import pytest

from config.measure.writers import Clients, Run
from tests.races.processes import alone

pytestmark = pytest.mark.sqlite
LINES, EACH = [1, 2], 5


def test_a_client_sets_aside_and_the_bare_loops_write_as_many_rows(file_sqlite):
    with Clients(1, file_sqlite.env) as crowd:
        orders = crowd.ask_one({"do": "build", "orders": len(LINES)})
        ours = crowd.ask([{"do": "ours", "orders": orders}])
        bare = crowd.ask([{"do": "bare", "seed": "1", "lines": LINES, "same_rows": False}])
        same = crowd.ask([{"do": "bare", "seed": "2", "lines": LINES, "same_rows": True}])
    assert [len(run.took) for run in (ours, bare, same)] == [2, 2, 2]
    assert all(run.rate > 0 and run.took == sorted(run.took) for run in (ours, bare, same))
    counted = "from tests.recount import recount; from orders.models import SetAside; recount()"
    assert alone(file_sqlite, f"{counted}; print(SetAside.objects.count())") == str(len(LINES) * EACH)
    with closing(sqlite3.connect(file_sqlite.path)) as book:
        sums = {
            table: book.execute(f"SELECT count(*) FROM measure_{table}").fetchone()[0]
            for table in ("taken", "told", "want", "line")
        }
        assert sums == {"taken": 2 * len(LINES) * EACH, "told": 2, "want": 0, "line": 2}
        assert book.execute("SELECT sum(reserved) FROM measure_item").fetchone() == (2 * len(LINES) * EACH,)


def test_shares_of_what_clients_took():
    run = Run(10, [n / 1000 for n in range(1, 101)])
    assert run.in_words == "p50 51, p95 96, p99 100, max 100 ms"
    assert Run(1, [0.5]).ms(0.99) == 500
