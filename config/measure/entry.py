"""Order entry: what one finished row costs, from the form sent as one types to the page that answers it.

A season's book: 300 open lines, the stock for half of them, a floor with recipes, a dip plan that stands. The whole
request counts: the draft kept, each row priced, filled from stock, floor and plan, the page rendered.
"""

import uuid
from collections.abc import Iterator
from datetime import timedelta
from random import Random

from django.conf import settings
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from config.demo.floor import make_works
from config.demo.plan import plan_the_floor
from config.measure.book import made_book
from config.measure.busy_book import SEED, Busy, make_busy, take_orders
from config.measure.row import Row, middle, tell, timed
from orders.domain.ordering import start_draft
from orders.domain.setting_aside import set_aside_book
from orders.models import Order

LINES, LONGEST, ASKED = 300, 20, 120  # open lines; rows of the draft when it is done; rows typed in all
MOST_MS = 100


def rows(*, quick: bool = False) -> Iterator[Row]:
    lines, asked = (20, 3) if quick else (LINES, ASKED)
    with made_book():
        tell("a season's book and its dip plan")
        book = make_busy()
        make_works(book.by)
        numbers = [order.number for order in take_orders(book, lines, lots=lines // 2)]
        # The near half is set aside for, as in the demo: the rest waits for stock, floor and plan.
        set_aside_book(by=book.by, order_numbers=numbers[: len(numbers) // 2])
        plan_the_floor(Random(SEED), today=timezone.localdate(), owner=book.by)  # noqa: S311 - the same each time
        tell(f"{asked} rows typed")
        times = sorted(1000 * took for took in _type_rows(book, asked))
    p95 = times[min(asked - 1, int(0.95 * asked))]
    said = (
        f"median {middle(times):.0f} ms, worst {times[-1]:.0f} ms; drafts of 1 to {LONGEST} rows, {lines} open lines"
    )
    yield Row(f"live row in order entry, p95 of {asked}", p95, "ms", aim=MOST_MS, note=said)


def _type_rows(book: Busy, asked: int) -> Iterator[float]:
    """Processor seconds of each row typed, draft after draft. RuntimeError where a row is not answered."""
    dice, client = Random(SEED), Client(headers={"X-Draft": "1"})  # noqa: S311 - as above
    client.force_login(book.by, backend=settings.AUTHENTICATION_BACKENDS[-1])
    order, typed = None, []
    for _ in range(asked):
        if order is None or len(typed) == LONGEST:
            order, typed = start_draft(shop=dice.choice(book.shops), submission=uuid.uuid4(), by=book.by), []
            _send(client, order, [(book.candles[0].code, "1")])  # what a process loads once is loaded
        typed.append((dice.choice(book.candles).code, str(dice.choice((6, 12, 24, 48)))))
        response, took = timed(_send, client, order, typed)
        if response.status_code != 200 or b"data-live" not in response.content:
            raise RuntimeError(f"the draft answered {response.status_code}")
        yield took


def _send(client: Client, order: Order, typed: list[tuple[str, str]]):
    version = Order.objects.values_list("version", flat=True).get(pk=order.pk)
    day = order.ship_by or timezone.localdate() + timedelta(days=14)
    form = {
        "version": version, "reference": "", "ship_by": f"{day:%Y-%m-%d}", "deliver_to": order.deliver_to_id or "",
        "notes": "", "code": [code for code, _ in typed] + [""], "pairs": [pairs for _, pairs in typed] + [""],
        "line": [""] * (len(typed) + 1),
    }  # fmt: skip
    return client.post(reverse("order_save", args=[order.number]), form)
