"""Clients that write at once: setting aside against a bare loop of the ORM, and how long anybody waits."""

import json
import os
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass

from config.bootstrap import ROOT
from config.machine import Missing
from config.measure.book import made_book
from config.measure.row import Row, tell
from config.throwaway_postgres import Cluster

CLIENTS, EACH = 8, 40
QUICK_CLIENTS, QUICK_EACH = 2, 3
SHARE, LONGEST_MS = 0.6, 250
CLIENT = "import django; django.setup(); from config.measure.writers_work import serve; serve()"
SAME = "over a bare loop that writes the same rows"
WHY = "a third of ours locks and reads order, shop, line, candle, want and what hangs for it"
LIKE_B2 = "over the bare loop of 10 rows"


@dataclass(frozen=True)
class Run:
    """What all clients did together: transactions a second, and seconds each took, shortest first."""

    rate: float
    took: list[float]

    def ms(self, share: float) -> float:
        """So much of a hundred percent took no longer, in milliseconds."""
        return 1000 * self.took[min(len(self.took) - 1, int(len(self.took) * share))]

    @property
    def in_words(self) -> str:
        return f"p50 {self.ms(0.5):.0f}, p95 {self.ms(0.95):.0f}, p99 {self.ms(0.99):.0f}, max {self.ms(1):.0f} ms"


def rows(*, quick: bool) -> Iterator[Row]:
    clients, each = (QUICK_CLIENTS, QUICK_EACH) if quick else (CLIENTS, EACH)
    with made_book() as book:
        yield from _compared("SQLite", book.env, clients, each)
    if quick:
        return
    try:
        with _server() as env:
            yield from _compared("PostgreSQL", env, clients, each)
    except Missing as missing:
        yield Row("PostgreSQL", None, "", note=f"not measured: {missing}")


@contextmanager
def _server() -> Iterator[dict[str, str]]:
    """An empty book on a server that keeps what was committed, as one in service does; the environment leads there."""
    cluster = Cluster(given=())
    try:
        env = {**os.environ, "DATABASE_URL": cluster.start(), "WICKTURN_SECRET_KEY": "for-the-measure-only"}
        tell("writers: laying the tables out on PostgreSQL")
        migrate = [sys.executable, "manage.py", "migrate", "-v", "0", "--skip-checks"]
        subprocess.run(migrate, env=env, cwd=ROOT, check=True)  # noqa: S603
        yield env
    finally:
        cluster.stop()


def _compared(name: str, env: dict[str, str], clients: int, each: int) -> Iterator[Row]:
    with Clients(clients, env) as crowd:
        tell(f"writers: {name}")
        orders = crowd.ask_one({"do": "build", "orders": clients * each})
        shares = [orders[place::clients] for place in range(clients)]
        lines = [[n + 1 for n in range(len(orders))][place::clients] for place in range(clients)]
        asked = [{"do": "bare", "seed": f"{n}", "lines": own, "same_rows": False} for n, own in enumerate(lines)]
        bare = crowd.ask(asked)
        same = crowd.ask([{**one, "same_rows": True} for one in asked])
        ours = crowd.ask([{"do": "ours", "orders": own} for own in shares])
    at = f"{name}, {clients} clients"
    for of, other in ((LIKE_B2, bare), (SAME, same)):
        said = f"{ours.rate:,.0f} against {other.rate:,.0f} transactions a second"
        if ours.rate < SHARE * other.rate:
            said += f"; {WHY}"
        yield Row(
            f"{at}: setting a line aside {of}", ours.rate / other.rate, "times", aim=SHARE, at_least=True, note=said
        )
    yield Row(
        f"{at}: a setting aside, p99", ours.ms(0.99), "ms", bare.ms(0.99), "ms bare", LONGEST_MS,
        note=f"{ours.in_words}; bare: {bare.in_words}",
    )  # fmt: skip


class Clients:
    """So many processes of writers_work, all set up before anything is timed."""

    def __init__(self, count: int, env: dict[str, str]):
        self.count, self.env, self.processes, self._stack = count, env, [], ExitStack()

    def __enter__(self):
        command = [sys.executable, "-c", CLIENT]
        env = {**self.env, "DJANGO_SETTINGS_MODULE": "config.settings"}
        for _ in range(self.count):
            process = subprocess.Popen(  # noqa: S603
                command, env=env, cwd=ROOT, text=True, stdin=subprocess.PIPE, stdout=subprocess.PIPE
            )
            self.processes.append(self._stack.enter_context(process))
        return self

    def __exit__(self, *error):
        for process in self.processes:
            process.kill()
        self._stack.close()

    def ask_one(self, what: dict):
        self._say(self.processes[0], what)
        return self._hear(self.processes[0])

    def ask(self, whats: list[dict]) -> Run:
        """Everybody at once."""
        began = time.perf_counter()
        for process, what in zip(self.processes, whats, strict=True):
            self._say(process, what)
        took = [self._hear(process) for process in self.processes]
        seconds = time.perf_counter() - began
        every = sorted(one for each in took for one in each)
        return Run(len(every) / seconds, every)

    def _say(self, process, what: dict) -> None:
        process.stdin.write(json.dumps(what) + "\n")
        process.stdin.flush()

    def _hear(self, process):
        line = process.stdout.readline()
        if not line:
            raise ArithmeticError(f"a client that writes ended with code {process.wait()}")
        return json.loads(line)
