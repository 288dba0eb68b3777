"""Invoices: every total re-adds from its lines, VAT re-reckons by rate, nothing is invoiced twice or unsent."""

from collections import Counter, defaultdict
from collections.abc import Iterator
from decimal import Decimal
from itertools import islice

from orders.audit import ledger_sums
from orders.models import DeliveryLine, Invoice, InvoicedDelivery
from orders.models.delivery import LEFT
from orders.models.invoice import DEPOSIT, EXPORT
from orders.money import NOUGHT, line_net

BATCH = 200
PENNY = Decimal("0.01")


def breaches() -> Iterator[str]:
    invoices = Invoice.objects.select_related("paper", "evidence").prefetch_related("lines", "vat_rows", "deducted")
    rows = invoices.order_by("pk").iterator(chunk_size=BATCH)
    while batch := list(islice(rows, BATCH)):
        sent = _sent_with(batch)
        for invoice in batch:
            for what in _of(invoice, sent[invoice.pk]):
                yield f"invoice {invoice.paper.number}: {what}"
    yield from _deposits()
    yield from _twice()
    unsent = InvoicedDelivery.objects.exclude(delivery__state=LEFT).select_related("invoice__paper", "delivery__note")
    for row in unsent.order_by("pk").iterator():
        yield f"invoice {row.invoice.paper.number}: delivery {row.delivery} has not left"


def _sent_with(invoices: list[Invoice]) -> dict[int, Counter]:
    """By invoice the pairs its deliveries took of each order line. One query; what is only added up makes no rows."""
    found: dict[int, Counter] = defaultdict(Counter)
    lines = DeliveryLine.objects.filter(delivery__invoicings__invoice__in=invoices).order_by()
    for invoice, line, pairs in lines.values_list("delivery__invoicings__invoice", "line", "pairs"):
        found[invoice][line] += pairs
    return found


def _of(invoice, sent: Counter) -> Iterator[str]:
    yield from ledger_sums.sums(invoice)
    yield from ledger_sums.sterling(invoice)
    yield from _lines(invoice)
    # VAT within money received (a deposit) may be a penny off the VAT on its net: 0.03 is no net with VAT at 20 %.
    slack = PENNY if invoice.kind == DEPOSIT else NOUGHT
    nets = [((line.category, line.percent), line.net) for line in invoice.lines.all()]
    yield from ledger_sums.rates(invoice, nets, slack)
    yield from ledger_sums.against_paper(invoice)
    yield from _pairs(invoice, sent)
    deducted = sum((row.net for row in invoice.deducted.all()), NOUGHT)
    if deducted != invoice.deposits:
        yield f"deposits taken off say {invoice.deposits}, their rows add up to {deducted}"
    if (invoice.treatment == EXPORT) != hasattr(invoice, "evidence"):
        yield "an export and only an export waits for evidence"


def _lines(invoice) -> Iterator[str]:
    for line in invoice.lines.all():
        if line.order_line_id is None:
            continue
        net = line_net(line.pairs, line.price, line.discount)
        if net != line.net:
            yield f"line {line.position} says {line.net}, {line.pairs} x {line.price} less {line.discount} % is {net}"


def _pairs(invoice, sent: Counter) -> Iterator[str]:
    """Pairs invoiced a line are the pairs its deliveries took out."""
    billed = Counter()
    for line in invoice.lines.all():
        if line.order_line_id:
            billed[line.order_line_id] += line.pairs
    if sent != billed:
        yield f"{sum(billed.values())} pairs invoiced, {sum(sent.values())} delivered, or of other lines"


def _deposits() -> Iterator[str]:
    """No more of a deposit is taken off later invoices and credited than it was invoiced for."""
    deposits = Invoice.objects.filter(kind=DEPOSIT).select_related("paper", "order")
    for invoice in deposits.prefetch_related("deducted_on__invoice__credit_notes", "credit_notes").order_by("pk"):
        used = sum((note.net for note in invoice.credit_notes.all()), NOUGHT)
        for row in invoice.deducted_on.all():
            if not any(note.anew for note in row.invoice.credit_notes.all()):
                used += row.net
        if used > invoice.net:
            yield f"invoice {invoice.paper.number}: {used} of its deposit of {invoice.net} is used"


def _twice() -> Iterator[str]:
    """A delivery stands on one invoice: the others that held it were taken back whole."""
    found: dict[int, str] = {}
    rows = InvoicedDelivery.objects.exclude(invoice__credit_notes__anew=True).filter(delivery__invoicings__round__gt=0)
    for row in rows.distinct().select_related("invoice__paper", "delivery__note").order_by("pk"):
        if row.delivery_id in found:
            yield f"delivery {row.delivery} stands on {found[row.delivery_id]} and on {row.invoice.paper.number}"
        found[row.delivery_id] = row.invoice.paper.number
