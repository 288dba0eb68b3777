"""Credit notes, a return, a pro forma and an export's evidence, so that each page of them has something to show."""

import uuid
from datetime import date, timedelta
from decimal import Decimal

from inventory.domain.rows import update_rows
from orders.domain.before_sending import issue_pro_forma
from orders.domain.credit_draft import Asked, Take
from orders.domain.crediting import issue_credit
from orders.domain.returns import Back, take_back
from orders.models import DeliveryLine, ExportEvidence, Invoice, Order
from orders.models.invoice import DOMESTIC
from orders.models.order import CONFIRMED
from orders.queries.debts import invoices_with_open
from orders.queries.invoices import live_invoicings

OF_THE_DEMO = uuid.UUID("7b1f2f0e-6f0c-4d43-9d1f-0d4c5a1c2e77")
KEPT = "Carrier's note, signed at the ferry, and the customs entry"


def write_credits(today: date, person) -> None:
    """Few, and through the domain's own doors; the exports' evidence in bulk."""
    _keep_evidence(today)
    whole = [row for row in _open_invoices() if row.open == row.gross]
    if len(whole) < 4:
        return
    overcharged, broken, back = whole[0], whole[1], whole[-1]
    _credit(overcharged, today, person, why="overcharged", reason="Price agreed by telephone", amount=Decimal("6.00"))
    _credit(broken, today, person, why="broken", reason="Two pairs snapped in the box", pairs=2)
    _come_back(back, today, person)


def ask_before_sending(today: date, person) -> None:
    """A pro forma, for a shop that pays before we send where one has an open order."""
    orders = Order.objects.filter(status=CONFIRMED, lines__sent=0, shop__on_stop=False).distinct()
    if order := orders.order_by("-shop__pro_forma_first", "ship_by", "pk").first():
        issue_pro_forma(order=order, issued_on=today, by=person, submission=uuid.uuid5(OF_THE_DEMO, "pro forma"))


def _open_invoices() -> list[Invoice]:
    rows = invoices_with_open().filter(open__gt=100, treatment=DOMESTIC).select_related("shop", "paper")
    return list(rows.order_by("-pk")[:12])[::-1]


def _credit(invoice: Invoice, today: date, person, **what) -> None:
    line = invoice.lines.order_by("-pairs").first()
    take = Take(line.pk, what.pop("pairs", 0), what.pop("amount", Decimal(0)))
    on = min(invoice.paper.issued_on + timedelta(days=6), today)
    issue_credit(invoice=invoice, asked=Asked(set_off_on=on, takes=(take,), **what), issued_on=on, by=person)


def _come_back(invoice: Invoice, today: date, person) -> None:
    """Part of the newest delivery came back: some fit for the shelf, some dented, one broken."""
    row = live_invoicings().filter(invoice=invoice).select_related("delivery").first()
    line = DeliveryLine.objects.filter(delivery=row.delivery, lot__grade="firsts").order_by("-pairs").first()
    if line is None or line.pairs < 4:
        return
    take_back(
        delivery=row.delivery,
        backs=[Back(line.pk, firsts=line.pairs - 3, seconds=2, broken=1, fault="dented on the way")],
        reason="Sent back: too many ordered",
        came_on=today,
        by=person,
        submission=uuid.uuid5(OF_THE_DEMO, "return"),
    )


def _keep_evidence(today: date) -> None:
    """Every export's evidence is in but that of the last four weeks, and of one that was forgotten."""
    rows = list(ExportEvidence.objects.select_related("invoice").order_by("due_by"))
    old = [row for row in rows if row.invoice.tax_point < today - timedelta(days=28)]
    forgotten = [row for row in old if row.due_by < today][-1:]
    for row in old:
        if row not in forgotten:
            row.received_on, row.note = row.invoice.tax_point + timedelta(days=9), KEPT
    update_rows(old, ["received_on", "note"])
