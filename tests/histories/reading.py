"""The book as it stands, in the shape of the model's picture: one query a part.

This is asked after every step, so each query is compiled once and then sent as it stands.
"""

from collections.abc import Iterator
from functools import cache

from django.db import connection

from inventory.models import Lot
from orders.models import Delivery, Order, OrderLine, SecondsBox, Series, SetAside
from orders.queries.debts import invoices_with_open, payments_with_left
from production.models import Frame, HungFor, Want


def rows_of(table, *names: str) -> Iterator[tuple]:
    """Of each row of the table these values; a table, or a function that makes a queryset of it."""
    sql, arguments = _compiled(table, names, connection.vendor)
    with connection.cursor() as cursor:
        cursor.execute(sql, arguments)
        yield from cursor.fetchall()


@cache
def _compiled(table, names: tuple[str, ...], vendor: str) -> tuple[str, tuple]:
    rows = table.objects.all() if hasattr(table, "objects") else table()
    # Nobody looks at the order, and the database need not sort.
    return rows.order_by().values_list(*names).query.sql_with_params()


def read_picture() -> dict[str, dict]:
    lines = list(rows_of(OrderLine, "pk", "order", "candle", "pairs", "sent", "set_aside", "want"))
    wants = dict(rows_of(Want, "pk", "pairs"))
    promises = rows_of(SetAside, "line", "lot", "pairs", "packed")
    return {
        "lots": _by_key(Lot, "candle", "grade", "on_hand", "set_aside"),
        "orders": _by_key(Order, "number", "shop", "grade", "status", "ship_by"),
        "lines": {row[0]: row[1:6] for row in lines},
        "promises": {(line, lot): (pairs, packed) for line, lot, pairs, packed in promises},
        "wanted": {row[0]: wants.get(row[6]) for row in lines if row[6]},
        "deliveries": _by_key(Delivery, "order", "state", "left_on"),
        "boxes": _by_key(SecondsBox, "state", "order"),
        "frames": _by_key(Frame, "state", "hung", "dips", "done"),
        "numbers": dict(rows_of(Series, "name", "next")),
    }


def read_ledger() -> dict[str, dict]:
    return {
        "due": {key: pence(amount) for key, amount in rows_of(invoices_with_open, "pk", "open")},
        "left": {key: pence(amount) for key, amount in rows_of(payments_with_left, "pk", "left")},
    }


def hung_for_too_much() -> list[str]:
    """Wants and frames for which more hangs than they want or are expected to give."""
    found, by_want, by_frame = [], {}, {}
    frame = ("frame", "frame__hung_for", "frame__expected", "frame__state")
    for key, hung_for, expected, state, want, wanted, pairs in rows_of(
        HungFor, *frame, "want", "want__pairs", "pairs"
    ):
        by_want.setdefault(want, [wanted, 0])[1] += pairs
        by_frame.setdefault(key, [hung_for, expected, 0])[2] += pairs
        if state in ("graded", "scrapped"):
            found.append(f"frame {key} is {state} and hangs for want {want}")
    found += [f"want {key}: {hangs} hang of {wanted}" for key, (wanted, hangs) in by_want.items() if hangs > wanted]
    for key, (counter, expected, hangs) in by_frame.items():
        if hangs != counter or hangs > expected:
            found.append(f"frame {key}: {hangs} promised, counter {counter}, expected {expected}")
    return found


def pence(amount) -> int:
    return round(amount * 100)


def _by_key(table, *names: str) -> dict[int, tuple]:
    return {row[0]: row[1:] for row in rows_of(table, "pk", *names)}
