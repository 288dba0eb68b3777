"""What a web worker holds in memory, and how soon the first page comes after a start: the server as `serve` starts it.

Memory is the most a worker ever held, pages it shares with the others counted in full. The wall's clock runs here: two
processes and a socket are what is waited for. The best of the starts counts, since others at work only slow them.
"""

import os
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from http.client import HTTPConnection, HTTPException
from pathlib import Path

from django.urls import reverse

from config.bootstrap import ROOT
from config.measure.book import Book, made_book
from config.measure.pages import signed_in
from config.measure.row import Row, tell
from config.measure.years import SEASON, SMALL, make_season
from config.roles import PLACES
from config.serving import server_command, why_not
from orders.models import Order
from orders.models.order import CONFIRMED, DONE, DRAFT
from production.models import DipPlan

MOST_MB, FIRST_PAGE_S, LONGEST_S = 250, 2.0, 60
ADDRESS, FIRST_PORT = "127.0.0.1", 18_500


def rows(*, quick: bool = False) -> Iterator[Row]:
    with made_book() as book:
        owner = make_season(SMALL if quick else SEASON)
        DipPlan.objects.all().delete()  # made of nothing: no page that draws it can be opened
        # The name it has on a plain network, which is how the server is started here.
        cookie = {"Cookie": f"sessionid={signed_in(owner)}"}
        yield _starts(book, cookie, 1 if quick else 5)
        yield _memory(book, cookie, 1 if quick else 5)


def _starts(book: Book, cookie: dict[str, str], often: int) -> Row:
    took, worked = [], []
    for _ in range(often):
        tell("a start")
        started, before = time.monotonic(), _processor_s()
        with _served(book) as (server, port):
            _first_page(server, port, cookie, started)
            took.append(time.monotonic() - started)
        worked.append(_processor_s() - before)
    said = (
        "from starting the server to the whole order book of one signed in; "
        f"starts took {', '.join(f'{seconds:.2f}' for seconds in took)} s, of the processor {min(worked):.2f} s"
    )
    return Row("first page after start", min(took), "s", aim=FIRST_PAGE_S, note=said)


def _processor_s() -> float:
    """Of all processes this one has waited for, and of theirs."""
    spent = os.times()
    return spent.children_user + spent.children_system


@contextmanager
def _served(book: Book) -> Iterator[tuple[subprocess.Popen, int]]:
    port = next(port for port in range(FIRST_PORT, FIRST_PORT + 100) if not why_not(ADDRESS, port))
    command = server_command(ADDRESS, port)
    server = subprocess.Popen(command, cwd=ROOT, env=book.env, stdin=subprocess.PIPE)  # noqa: S603 - our own
    try:
        yield server, port
    finally:
        server.terminate()
        server.wait()
        server.stdin.close()


def _first_page(server: subprocess.Popen, port: int, cookie: dict[str, str], started: float) -> None:
    while time.monotonic() - started < LONGEST_S and server.poll() is None:
        try:
            return _ask(port, reverse("order_book"), cookie)
        except (OSError, HTTPException):
            time.sleep(0.01)
    raise RuntimeError("The server did not answer.")


def _ask(port: int, address: str, cookie: dict[str, str]) -> None:
    asking = HTTPConnection(ADDRESS, port, timeout=LONGEST_S)
    try:
        asking.request("GET", address, headers=cookie)
        answer = asking.getresponse()
        answer.read()
        if answer.status != 200:
            raise RuntimeError(f"{address}: {answer.status}")
    finally:
        asking.close()


def _memory(book: Book, cookie: dict[str, str], often: int) -> Row:
    """After every place, an order, a draft and the dip plan were opened again and again."""
    tell("memory")
    kinds = [Order.objects.filter(status=status).order_by("pk").first() for status in (CONFIRMED, DONE, DRAFT)]
    addresses = [reverse(name) for _, name, _ in PLACES] + [order.get_absolute_url() for order in kinds if order]
    with _served(book) as (server, port):
        _first_page(server, port, cookie, time.monotonic())
        for _ in range(often):
            for address in [*addresses, reverse("dip_plan")]:
                _ask(port, address, cookie)
        held = [_peak_mb(worker) for worker in _workers_of(server)]
    if None in held or not held:
        return Row("memory of a web worker", None, "MB", note="is read from /proc, which is not here")
    said = (
        f"{len(held)} workers, {', '.join(f'{mb:.0f}' for mb in held)} MB after {often * (len(addresses) + 1)} pages"
    )
    return Row("memory of a web worker", max(held), "MB", aim=MOST_MB, note=said)


def _workers_of(server: subprocess.Popen) -> list[int]:
    """Processes the server forked to answer; what it keeps beside them is no worker."""
    children = Path(f"/proc/{server.pid}/task/{server.pid}/children")
    return [int(pid) for pid in children.read_text().split()] if children.exists() else []


def _peak_mb(pid: int) -> float | None:
    file = Path(f"/proc/{pid}/status")
    lines = file.read_text().splitlines() if file.exists() else []
    return next((int(line.split()[1]) / 1024 for line in lines if line.startswith("VmHWM")), None)
