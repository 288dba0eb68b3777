"""Credit notes: each re-adds, and together they never take more off an invoice than it has."""

from collections import Counter
from collections.abc import Iterator

from orders.audit import ledger_sums
from orders.models import CreditNote, Invoice, Return, ReturnLine
from orders.money import NOUGHT, vat_of

BATCH = 200


def breaches() -> Iterator[str]:
    notes = CreditNote.objects.select_related("paper", "invoice__paper")
    for note in notes.prefetch_related("lines__invoice_line", "vat_rows").order_by("pk").iterator(chunk_size=BATCH):
        for what in _of(note):
            yield f"credit note {note.paper.number}: {what}"
    yield from _more_than_invoiced()
    yield from _returns()


def _of(note) -> Iterator[str]:
    yield from ledger_sums.sums(note)
    nets = [((line.invoice_line.category, line.invoice_line.percent), line.net) for line in note.lines.all()]
    yield from ledger_sums.rates(note, nets, None)
    yield from ledger_sums.against_paper(note)
    if note.currency != note.invoice.currency or note.shop_id != note.invoice.shop_id:
        yield f"{note.invoice.paper.number} is of another shop or in another currency"
    if any(line.invoice_line.invoice_id != note.invoice_id for line in note.lines.all()):
        yield f"a line of it is not on {note.invoice.paper.number}"


def _more_than_invoiced() -> Iterator[str]:
    invoices = Invoice.objects.filter(credit_notes__isnull=False).distinct().select_related("paper")
    together = ("lines", "vat_rows", "credit_notes__lines", "credit_notes__vat_rows")
    for invoice in invoices.prefetch_related(*together).order_by("pk"):
        notes = sorted(invoice.credit_notes.all(), key=lambda note: note.pk)
        for what in (*_sums_left(invoice, notes), *_lines_left(invoice, notes), *_rates_left(invoice, notes)):
            yield f"invoice {invoice.paper.number}: {what}"


def _sums_left(invoice, notes) -> Iterator[str]:
    for name in ("net", "vat", "gross", "carriage", "vat_sterling"):
        credited = sum((getattr(note, name) for note in notes), NOUGHT)
        if credited > getattr(invoice, name):
            yield f"{name} credited is {credited} of {getattr(invoice, name)}"


def _lines_left(invoice, notes) -> Iterator[str]:
    pairs, nets = Counter(), Counter()
    for note in notes:
        for line in note.lines.all():
            pairs[line.invoice_line_id] += line.pairs
            nets[line.invoice_line_id] += line.net
    for line in invoice.lines.all():
        if pairs[line.pk] > line.pairs or nets[line.pk] > line.net:
            yield (
                f"of line {line.position} {pairs[line.pk]} of {line.pairs} pairs and {nets[line.pk]} of {line.net} "
                "are credited"
            )


def _rates_left(invoice, notes) -> Iterator[str]:
    """VAT re-reckons on each note, but where it takes the last of a rate's VAT; and never more than the rate has."""
    invoiced = {(row.category, row.percent): row.vat for row in invoice.vat_rows.all()}
    vats = Counter()
    for note in notes:
        for row in note.vat_rows.all():
            key = (row.category, row.percent)
            vats[key] += row.vat
            if key not in invoiced or vats[key] > invoiced[key]:
                yield f"at {row.percent} % more VAT is credited than it has"
            elif row.vat != vat_of(row.taxable, row.percent, note.vat_rounding) and vats[key] != invoiced[key]:
                yield f"credit note {note.pk}: VAT of {row.vat} on {row.taxable} at {row.percent} % is credited"


def _returns() -> Iterator[str]:
    """What came back was sent; and it is credited as many pairs as came."""
    came = Counter()
    rows = ReturnLine.objects.select_related("delivery_line__delivery__note", "back")
    for row in rows.order_by("pk").iterator():
        came[row.delivery_line_id] += row.pairs
        if came[row.delivery_line_id] > row.delivery_line.pairs:
            yield f"delivery {row.delivery_line.delivery}: more came back of a lot than left"
        if row.delivery_line.delivery_id != row.back.delivery_id:
            yield f"return {row.back_id}: a line of another delivery"
    backs = Return.objects.select_related("note__paper").prefetch_related("lines", "note__lines")
    for back in backs.order_by("pk").iterator(chunk_size=BATCH):
        pairs, credited = sum(row.pairs for row in back.lines.all()), sum(row.pairs for row in back.note.lines.all())
        if pairs != credited:
            yield f"credit note {back.note.paper.number}: {credited} pairs credited, {pairs} came back"
