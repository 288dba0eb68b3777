"""python -m tests.crashes.two_servers FOLDER SEED: two servers, one worker, one PostgreSQL; a server is killed."""

import os
import sys
import time
from pathlib import Path
from random import Random

import django

django.setup()

from config.telling import say  # noqa: E402
from config.throwaway_postgres import free_port  # noqa: E402
from production.models import PlanSearch  # noqa: E402
from production.models.plan import FOUND  # noqa: E402
from tests.crashes.crowd import Crowd  # noqa: E402
from tests.crashes.served import Served, health, report, until  # noqa: E402
from tests.factories import make_person  # noqa: E402
from tests.factories.house import PASSWORD  # noqa: E402
from tests.load.http_visitor import HttpVisitor  # noqa: E402
from tests.load.kept import unsound, verify  # noqa: E402
from tests.load.world import build_world  # noqa: E402

LOAD_S = (0.5, 1.5)  # before the kill, and as much after it
PLAN = "/dip-list/plan/"


class Two:
    def __init__(self, folder: Path, seed: int):
        self.world, self.rng = build_world(), Random(seed)
        make_person("owner", username="ada")
        self.ports = [free_port(), free_port()]
        self.log = folder / "log"
        self.servers = [Served(self.log, "serve", "--no-worker", "--port", str(port)) for port in self.ports]
        self.worker = Served(self.log, "worker")
        self.bases = [f"http://127.0.0.1:{port}" for port in self.ports]
        self.crowd = Crowd(self.bases, self.world, seed)

    def do(self) -> list[str]:
        try:
            for part in (*self.servers, self.worker):
                part.start()
            for port in self.ports:
                until(lambda port=port: health(port) == 200, "a server never came up")
            with self.crowd:
                return self.kill_one()
        finally:
            for part in (*self.servers, self.worker):
                part.end()

    def kill_one(self) -> list[str]:
        here, there = (HttpVisitor(base, "ada") for base in self.bases)
        self.crowd.go_on()
        assert here.sign_in(PASSWORD), "nobody could sign in"
        asked = here.send(here.get(PLAN), f"{PLAN}ask/", effort="quick")
        assert asked, "no plan could be asked for"
        assert asked.moved, asked.text
        time.sleep(self.rng.uniform(*LOAD_S))
        before = self.answered_there()
        self.servers[0].kill("all")
        self.crowd.send_on(self.ports[0], self.ports[1])
        there.cookies = dict(here.cookies)
        # Not by the page: it no longer shows a search once somebody else's plan stands that is newer.
        until(PlanSearch.objects.filter(asked_by__username="ada", state=FOUND).exists, "no plan was found")
        seen = there.get(PLAN)
        time.sleep(self.rng.uniform(*LOAD_S))
        more = self.answered_there() - before
        self.crowd.pause()
        say(f"Answers of the second server: {before} before the kill, {more} after; {self.crowd.lost} acts broken off")
        return [
            *([] if "Sign out" in seen.text else ["the session was not good on the other server"]),
            *([] if more else ["the second server answered nothing after the kill"]),
            *there.faults, *self.crowd.faults(), *verify(self.crowd.kept), *unsound(),
        ]  # fmt: skip

    def answered_there(self) -> int:
        """Answers so far to those who went to the second server from the start."""
        return sum(len(took) for visitor in self.crowd.visitors[1::2] for took in visitor.took.values())


def main(folder: str, seed: str) -> int:
    two = Two(Path(folder), int(seed))
    say(f"Seed {seed}")
    try:
        complaints = two.do()
    except AssertionError as wrong:
        complaints = [str(wrong)]
    if not complaints:
        say("The other goes on.")
    return report(complaints, two.log)


if __name__ == "__main__":
    code = main(*sys.argv[1:])
    # Threads that wait for a server hold nobody up.
    os._exit(code)
