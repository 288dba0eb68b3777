"""python -m tests.crashes.run FOLDER CRASHES SEED: serve a book, load it, kill, look, again and again.

The environment names the book, as for manage.py. Prints what it did; exit code 1 with a line for each complaint.
"""

import os
import sys
import time
from pathlib import Path
from random import Random

import django

django.setup()

from django.db import connection  # noqa: E402

from config.models import Person  # noqa: E402
from config.telling import say  # noqa: E402
from config.throwaway_postgres import free_port  # noqa: E402
from production.models import PlanSearch  # noqa: E402
from production.models.plan import FOUND, WAITING, WORKING  # noqa: E402
from tests.crashes.crowd import Crowd  # noqa: E402
from tests.crashes.durable import Durable  # noqa: E402
from tests.crashes.served import Served, health, report, until  # noqa: E402
from tests.load.http_visitor import HttpVisitor  # noqa: E402
from tests.load.kept import unsound, verify  # noqa: E402
from tests.load.world import build_world  # noqa: E402

# Of ten crashes. The first five are those of every run: what takes long to come back is among them once.
KINDS = ("process", "worker", "all", "process", "worker", "process", "serve", "process", "worker", "master")
ON_POSTGRESQL = ("process", "database", "all", "worker", "database", "process", "serve", "worker", "process", "master")
ACTS = (4, 20)  # done between a look at the book and the next kill
MOMENT_S = 0.1  # and at most so long after the last of them


class Run:
    def __init__(self, folder: Path, crashes: int, seed: int):
        self.rng, self.crashes = Random(seed), crashes
        self.cluster = Durable.of_environment()
        self.world = build_world(frames=max(24, crashes), searches=4, pairs=40 + 8 * crashes)
        self.port, self.log = free_port(), folder / "log"
        self.server = Served(self.log, "serve", "--port", str(self.port))
        self.crowd = Crowd([f"http://127.0.0.1:{self.port}"], self.world, seed)
        self.complaints: list[str] = []

    def do(self) -> None:
        self.start()
        try:
            with self.crowd:
                for n in range(self.crashes):
                    kinds = ON_POSTGRESQL if self.cluster else KINDS
                    self.crash(n, kinds[n % len(kinds)])
                    if self.complaints:
                        return
            self.complaints += self.plan_once_more()
        finally:
            self.server.end()

    def start(self) -> None:
        self.server.start()
        until(lambda: health(self.port) == 200, "the server never came up")

    def crash(self, n: int, kind: str) -> None:
        acts, moment = self.rng.randint(*ACTS), self.rng.uniform(0, MOMENT_S)
        if kind == "worker":
            self.keep_worker_busy()
        wanted = self.crowd.acts + acts
        self.crowd.go_on()
        until(lambda: self.crowd.acts >= wanted, "the load came to a halt")
        time.sleep(moment)
        began = time.monotonic()
        self.crowd.up.clear()
        if kind == "database":
            self.cluster.crash()
            connection.close()
            until(lambda: health(self.port) == 200, "the server never found the database again")
            self.crowd.excuse()
        elif self.server.kill(kind):
            self.server.wait_until_gone()
            self.start()
        away = time.monotonic() - began
        self.crowd.up.set()
        self.crowd.pause()
        if kind == "database":
            # What was under way when it stopped is answered after it is back.
            self.crowd.excuse()
        self.complaints += [*self.crowd.faults(), *verify(self.crowd.kept), *unsound()]
        counts = f"{self.crowd.acts} acts, {len(self.crowd.kept)} acknowledged, {self.crowd.lost} broken off"
        say(f"{n + 1}. {kind} killed after {acts} acts, away {away:.1f} s; so far {counts}")

    def keep_worker_busy(self) -> None:
        """A search under way, so that a killed worker leaves something behind."""
        self.server.wait_for("worker")
        self.ask(effort="long")
        until(lambda: PlanSearch.objects.filter(state=WORKING).exists(), "no worker took the search up")

    def ask(self, effort: str) -> None:
        name, session = next(iter(self.world.sessions.items()))
        visitor = HttpVisitor(f"http://127.0.0.1:{self.port}", name, session)
        visitor.send(visitor.get("/dip-list/plan/"), "/dip-list/plan/ask/", effort=effort)
        visitor.close()
        self.complaints += visitor.faults

    def plan_once_more(self) -> list[str]:
        """After all of it the worker is back: nothing it left is taken for under way, a new search is done."""
        under_way = PlanSearch.objects.filter(state__in=(WAITING, WORKING))
        until(lambda: not under_way.exists(), "a search that nobody is at is shown as under way")
        self.ask(effort="quick")
        until(lambda: not under_way.exists(), "the last search was never done")
        last = PlanSearch.objects.order_by("-pk").first()
        return [] if last.state == FOUND else [f"the last search is {last.state}: {last.said}"]


def main(folder: str, crashes: str, seed: str) -> int:
    run = Run(Path(folder), int(crashes), int(seed))
    say(f"Seed {seed} on {connection.vendor}, {Person.objects.count()} people")
    try:
        run.do()
    except AssertionError as wrong:
        run.complaints.append(str(wrong))
    again = sum(getattr(visitor, "again", 0) for visitor in run.crowd.visitors)
    say(f"{again} forms were sent again")
    return report(run.complaints, run.log)


if __name__ == "__main__":
    code = main(*sys.argv[1:])
    # Threads that wait for a server hold nobody up.
    os._exit(code)
