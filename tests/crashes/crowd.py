"""Eight people at a served book, each in a thread, and what the book acknowledged to them."""

import threading
import time
from random import Random

from tests.load.acts import ACTS, some_act
from tests.load.http_visitor import HttpVisitor
from tests.load.kept import Kept
from tests.load.visitor import Answer, Fields, Files, Gone
from tests.load.world import World


class Stubborn(HttpVisitor):
    """Somebody who, when the server goes while a form is out, sends the same form again as soon as it is back."""

    def __init__(self, base: str, name: str, session: str, up: threading.Event):
        super().__init__(base, name, session)
        self.up, self.again = up, 0

    def _post(self, path: str, fields: Fields, files: Files) -> Answer:
        try:
            return super()._post(path, fields, files)
        except Gone:
            self.again += 1
            time.sleep(0.05)
            self.up.wait()
            return super()._post(path, fields, files)


class Crowd:
    """Inside a `with` they work whenever the gate is open and `up` is set, which whoever kills takes back before.

    `kept` is what was acknowledged, `lost` counts the acts that a killed server broke off.
    """

    def __init__(self, bases: list[str], world: World, seed: int):
        self.world, self.lost, self.acts = world, 0, 0
        self.kept: list[Kept] = []
        self.broken: list[str] = []
        self.gate, self.up, self.over = threading.Event(), threading.Event(), threading.Event()
        self.up.set()
        self.resting = [threading.Event() for _ in world.sessions]
        self.visitors = []
        for n, (name, session) in enumerate(world.sessions.items()):
            base = bases[n % len(bases)]
            # Half of them send again what may have been lost, half go on with something else.
            stubborn = n // 2 % 2
            self.visitors.append(
                Stubborn(base, name, session, self.up) if stubborn else HttpVisitor(base, name, session)
            )
        self.threads = [
            threading.Thread(target=self._work, args=[n, Random(f"{seed}:{n}")], daemon=True)
            for n in range(len(self.visitors))
        ]

    def __enter__(self) -> "Crowd":
        for thread in self.threads:
            thread.start()
        return self

    def __exit__(self, *exception) -> None:
        self.over.set()
        self.gate.set()
        self.up.set()
        for thread in self.threads:
            thread.join(60)

    def pause(self) -> None:
        """Let everybody end what they are at, and wait for it; `up` must be set by now."""
        self.gate.clear()
        for n, resting in enumerate(self.resting):
            assert resting.wait(120), f"{self.visitors[n].name} never came to an end"

    def go_on(self) -> None:
        for resting in self.resting:
            resting.clear()
        self.gate.set()

    def send_on(self, gone: int, to: int) -> None:
        """Whoever went to the port `gone` goes to another one from now on, as whatever stands in front sees to."""
        for visitor in self.visitors:
            if visitor.port == gone:
                visitor.port = to

    def faults(self) -> list[str]:
        return [fault for visitor in self.visitors for fault in visitor.faults] + self.broken

    def excuse(self) -> None:
        """Forget the faults so far: the database was away."""
        for visitor in self.visitors:
            visitor.faults.clear()

    def _work(self, n: int, rng: Random) -> None:
        visitor = self.visitors[n]
        while not self.over.is_set():
            if not self.gate.is_set():
                self.resting[n].set()
                self.gate.wait()
                self.resting[n].clear()
                # The server hangs up on who says nothing for two seconds.
                visitor.close()
                continue
            self.up.wait()
            act = some_act(rng)
            try:
                self._do(visitor, rng, act)
            except Gone:
                self.lost += 1
                time.sleep(0.05)
            except Exception as wrong:  # noqa: BLE001 - told at the end, with everybody else's
                self.broken.append(f"{visitor.name} at {act}: {wrong!r}")
        visitor.close()

    def _do(self, visitor: HttpVisitor, rng: Random, act: str) -> None:
        for kept in ACTS[act][0](visitor, rng, self.world):
            self.kept.append(kept)
        self.acts += 1
