"""A cancellation of the real months, as the book puts it: called off before packing, credited after the invoice."""

import uuid
from collections import Counter
from datetime import date

from orders.domain.changing import cancel_order, change_pairs
from orders.domain.credit_draft import Asked, Take
from orders.domain.crediting import issue_credit
from orders.domain.returns import Back, invoice_of, take_back
from orders.models import Delivery, DeliveryLine, Order
from orders.models.delivery import LEFT
from orders.models.order import CANCELLED, DONE
from orders.queries.credits import left_of

WAITS = "waits"
SPACE = uuid.UUID("0e3d6f7c-4d1e-4a53-9a52-52a4f3f8f0b7")


def take_off(order_key: int, parts: dict[int, int], *, number: str, day: date, by) -> str:
    """Take `parts` (pairs by the order's row, from 0) off an order; returns what became of them.

    Nothing packed yet: fewer are ordered, or the order is cancelled. On an invoice: cancellations of an even number
    bring the pairs back as firsts, the others only the credit note. WAITS for what is packed and not invoiced.
    """
    order = Order.objects.get(pk=order_key)
    if order.status == CANCELLED:
        return "called off already"
    lines = list(order.lines.order_by("position", "pk"))
    wanted = {lines[place]: pairs for place, pairs in parts.items()}
    deliveries = list(order.deliveries.order_by("pk"))
    if not deliveries:
        return _fewer(order, lines, wanted, number, by)
    invoices = {invoice_of(delivery) for delivery in deliveries if delivery.state == LEFT}
    if order.status != DONE or None in invoices:
        return WAITS
    if int(number[1:]) % 2:
        return _credit(invoices, wanted, number, day, by)
    return _come_back(deliveries, wanted, number, day, by)


def _fewer(order: Order, lines: list, wanted: dict, number: str, by) -> str:
    left = {line: line.pairs - wanted.get(line, 0) for line in lines}
    if not any(left.values()):
        cancel_order(order=order, version=order.version, reason=f"Called off: {number}", by=by)
        return "orders cancelled"
    for line, pairs in left.items():
        if pairs != line.pairs:
            change_pairs(line=line, pairs=pairs, version=order.version, by=by)
            order.refresh_from_db(fields=["version"])
    return "orders made smaller"


def _credit(invoices: set, wanted: dict, number: str, day: date, by) -> str:
    owed = Counter({line.pk: pairs for line, pairs in wanted.items()})
    for invoice in sorted(invoices, key=lambda invoice: invoice.pk):
        takes = []
        for one in left_of(invoice).lines.values():
            if pairs := min(owed[one.line.order_line_id], one.pairs):
                takes.append(Take(one.line.pk, pairs))
                owed[one.line.order_line_id] -= pairs
        if takes:
            asked = Asked(why="broken", reason=f"As {number} says", set_off_on=day, takes=tuple(takes))
            issue_credit(invoice=invoice, asked=asked, issued_on=day, by=by)
    return "credit notes"


def _come_back(deliveries: list[Delivery], wanted: dict, number: str, day: date, by) -> str:
    owed = Counter({line.pk: pairs for line, pairs in wanted.items()})
    for delivery in deliveries:
        backs = []
        for row in DeliveryLine.objects.filter(delivery=delivery, line__in=owed).prefetch_related("came_back"):
            there = row.pairs - sum(back.pairs for back in row.came_back.all())
            if pairs := min(owed[row.line_id], there):
                backs.append(Back(row.pk, firsts=pairs))
                owed[row.line_id] -= pairs
        if backs:
            take_back(
                delivery=delivery, backs=backs, reason=f"As {number} says", came_on=day, by=by,
                submission=uuid.uuid5(SPACE, f"{number} {delivery.pk}"),
            )  # fmt: skip
    return "returns"
