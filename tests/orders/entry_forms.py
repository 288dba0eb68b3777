"""The draft's form as its page holds it, and what came of sending it."""

from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from orders.models import Order


def form_of(order: Order, rows=(), **fields) -> dict:
    """The form as the page holds it, with rows given as (code, pairs)."""
    order = Order.objects.get(pk=order.pk)
    return {
        "version": order.version,
        "reference": order.reference,
        "ship_by": f"{order.ship_by:%Y-%m-%d}" if order.ship_by else "",
        "deliver_to": order.deliver_to_id or "",
        "notes": order.notes,
        "code": [code for code, _ in rows] + [""],
        "pairs": [pairs for _, pairs in rows] + [""],
        "line": [""] * (len(rows) + 1),
        **fields,
    }


def send(client, name: str, order: Order, rows=(), live: bool = False, **fields):
    headers = {"X-Draft": "1"} if live else {}
    return client.post(reverse(name, args=[order.number]), form_of(order, rows, **fields), headers=headers)


def kept(order: Order) -> list[tuple[str, int]]:
    return [(line.candle.code, line.pairs) for line in order.lines.all()]


def queries_of(client, url: str) -> int:
    with CaptureQueriesContext(connection) as queries:
        assert client.get(url).status_code == 200
        return len(queries)


def text_of(response) -> str:
    return " ".join(response.content.decode().split())
