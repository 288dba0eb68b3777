"""The book as it stands, in the shape of the model's picture: one query a part."""

from inventory.models import Lot
from orders.models import Delivery, Order, OrderLine, SecondsBox, Series, SetAside
from orders.queries.debts import invoices_with_open, payments_with_left
from production.models import Frame, HungFor, Want


def read_picture() -> dict[str, dict]:
    lines = OrderLine.objects.order_by().values_list("pk", "order", "candle", "pairs", "sent", "set_aside", "want")
    lines = list(lines)
    wants = dict(Want.objects.order_by().values_list("pk", "pairs"))
    promises = SetAside.objects.order_by().values_list("line", "lot", "pairs", "packed")
    return {
        "lots": _by_key(Lot, "candle", "grade", "on_hand", "set_aside"),
        "orders": _by_key(Order, "number", "shop", "grade", "status", "ship_by"),
        "lines": {row[0]: row[1:6] for row in lines},
        "promises": {(line, lot): (pairs, packed) for line, lot, pairs, packed in promises},
        "wanted": {row[0]: wants.get(row[6]) for row in lines if row[6]},
        "deliveries": _by_key(Delivery, "order", "state", "left_on"),
        "boxes": _by_key(SecondsBox, "state", "order"),
        "frames": _by_key(Frame, "state", "hung", "dips", "done"),
        "numbers": dict(Series.objects.order_by().values_list("name", "next")),
    }


def read_ledger() -> dict[str, dict]:
    due = invoices_with_open().order_by().values_list("pk", "open")
    left = payments_with_left().order_by().values_list("pk", "left")
    return {
        "due": {key: pence(amount) for key, amount in due},
        "left": {key: pence(amount) for key, amount in left},
    }


def hung_for_too_much() -> list[str]:
    """Wants and frames for which more hangs than they want or are expected to give."""
    found, by_want, by_frame = [], {}, {}
    rows = HungFor.objects.order_by().values_list(
        "frame", "want", "pairs", "want__pairs", "frame__hung_for", "frame__expected", "frame__state"
    )
    for frame, want, pairs, wanted, hung_for, expected, state in rows:
        by_want.setdefault(want, [wanted, 0])[1] += pairs
        by_frame.setdefault(frame, [hung_for, expected, 0])[2] += pairs
        if state in ("graded", "scrapped"):
            found.append(f"frame {frame} is {state} and hangs for want {want}")
    found += [f"want {key}: {hangs} hang of {wanted}" for key, (wanted, hangs) in by_want.items() if hangs > wanted]
    for key, (counter, expected, hangs) in by_frame.items():
        if hangs != counter or hangs > expected:
            found.append(f"frame {key}: {hangs} promised, counter {counter}, expected {expected}")
    return found


def pence(amount) -> int:
    return round(amount * 100)


def _by_key(table, *names: str) -> dict[int, tuple]:
    # order_by(): nobody looks at the order, and the database need not sort.
    return {row[0]: row[1:] for row in table.objects.order_by().values_list("pk", *names)}
