"""Invoices: every total re-adds from its lines, VAT re-reckons by rate, nothing is invoiced twice or unsent."""

from collections import Counter
from collections.abc import Iterator
from decimal import Decimal

from orders.models import Invoice, InvoicedDelivery
from orders.models.delivery import LEFT
from orders.money import MOST, NOUGHT, line_net, vat_of

BATCH = 200


def breaches() -> Iterator[str]:
    invoices = Invoice.objects.select_related("paper").prefetch_related(
        "lines", "vat_rows", "deliveries__delivery__lines"
    )
    for invoice in invoices.order_by("pk").iterator(chunk_size=BATCH):
        for what in (*_sums(invoice), *_lines(invoice), *_vat(invoice), *_against_paper(invoice), *_pairs(invoice)):
            yield f"invoice {invoice.paper.number}: {what}"
    unsent = InvoicedDelivery.objects.exclude(delivery__state=LEFT).select_related("invoice__paper", "delivery__note")
    for row in unsent.order_by("pk").iterator():
        yield f"invoice {row.invoice.paper.number}: delivery {row.delivery} has not left"


def _sums(invoice):
    goods = sum((line.net for line in invoice.lines.all()), NOUGHT)
    if goods != invoice.goods:
        yield f"goods say {invoice.goods}, the lines add up to {goods}"
    if invoice.goods + invoice.carriage != invoice.net:
        yield f"net says {invoice.net}, goods and carriage add up to {invoice.goods + invoice.carriage}"
    if invoice.net + invoice.vat != invoice.gross:
        yield f"total says {invoice.gross}, net and VAT add up to {invoice.net + invoice.vat}"
    if not NOUGHT <= invoice.gross <= MOST:
        yield f"total {invoice.gross} is out of bounds"


def _lines(invoice):
    for line in invoice.lines.all():
        net = line_net(line.pairs, line.price, line.discount)
        if net != line.net:
            yield f"line {line.position} says {line.net}, {line.pairs} x {line.price} less {line.discount} % is {net}"


def _vat(invoice):
    rows = invoice.vat_rows.all()
    by_rate: dict[tuple[str, Decimal], Decimal] = {}
    for line in invoice.lines.all():
        key = (line.category, line.percent)
        by_rate[key] = by_rate.get(key, NOUGHT) + line.net
    for row in rows:
        goods = by_rate.pop((row.category, row.percent), NOUGHT)
        if goods + row.carriage != row.taxable:
            yield f"taxable at {row.percent} % says {row.taxable}, lines and carriage are {goods + row.carriage}"
        vat = vat_of(row.taxable, row.percent, invoice.vat_rounding)
        if vat != row.vat:
            yield f"VAT at {row.percent} % says {row.vat}, {row.taxable} at that rate is {vat}"
    if by_rate:
        yield "lines at a rate that has no VAT row"
    if sum((row.vat for row in rows), NOUGHT) != invoice.vat:
        yield f"VAT says {invoice.vat}, its rates add up to {sum((row.vat for row in rows), NOUGHT)}"
    if sum((row.carriage for row in rows), NOUGHT) != invoice.carriage:
        yield f"carriage says {invoice.carriage}, its rates add up to {sum((row.carriage for row in rows), NOUGHT)}"


def _against_paper(invoice):
    """What is printed is what stands in the ledger."""
    totals = invoice.paper.content.get("totals", {})
    for name in ("goods", "carriage", "net", "vat", "gross"):
        printed = totals.get(name)
        if printed is None or Decimal(printed.replace(",", "")) != getattr(invoice, name):
            yield f"{name} is {getattr(invoice, name)} in the ledger and {printed} on the paper"


def _pairs(invoice):
    """Pairs invoiced a line are the pairs its deliveries took out."""
    sent, billed = Counter(), Counter()
    for row in invoice.deliveries.all():
        for line in row.delivery.lines.all():
            sent[line.line_id] += line.pairs
    for line in invoice.lines.all():
        billed[line.order_line_id] += line.pairs
    if sent != billed:
        yield f"{sum(billed.values())} pairs invoiced, {sum(sent.values())} delivered, or of other lines"
