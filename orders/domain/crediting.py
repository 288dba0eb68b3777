"""Issuing a credit note: its number, frozen content and ledger rows are one transaction.

Locks: the invoice's orders, the shop's ledger, then the invoice; so two who credit one invoice at once take turns, and
the second sees what the first has left.
"""

import hashlib
from datetime import date
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction

from inventory.domain.records import record
from orders.documents.credit_note import credit_content
from orders.domain.credit_draft import Asked, draft_credit
from orders.domain.draft_sums import ledger_sums, vat_sums
from orders.domain.drafts import CreditDraft
from orders.domain.papers import digest_of, issue_paper
from orders.domain.payments import free_overpaid, lock_ledger
from orders.domain.periods import refuse_closed
from orders.models import CreditNote, CreditNoteLine, CreditNoteVat, Invoice
from orders.models.paper import CREDIT_NOTE
from orders.money import in_pounds
from orders.queries.invoices import orders_of


class CreditChanged(ValidationError):
    """What would be credited is no longer what was looked at."""


def credit_figures(draft: CreditDraft) -> str:
    """A short digest of everything the draft would print: the preview sends it back, so what was seen is issued."""
    return hashlib.sha256(digest_of(credit_content(draft)).encode()).hexdigest()[:16]


@transaction.atomic
def issue_credit(
    *, invoice: Invoice, asked: Asked, issued_on: date, by, submission: UUID | None = None, seen: str | None = None
) -> CreditNote:
    """Issue a credit note against an invoice. All refusals of draft_credit hold.

    The same `submission` sent again gives the note it made the first time. `seen` is credit_figures of the draft a
    person looked at; where it no longer fits, nothing is issued. The number runs without a gap.
    """
    invoice = lock_invoice(invoice)
    if submission and (done := CreditNote.objects.filter(submission=submission).first()):
        return done
    draft = draft_credit(invoice=invoice, asked=asked, issued_on=issued_on)
    if seen is not None and seen != credit_figures(draft):
        raise CreditChanged("The figures changed while you looked at them. Look again, then issue.")
    refuse_closed(draft.tax_point)
    paper = issue_paper(
        kind=CREDIT_NOTE,
        shop=invoice.shop,
        content=credit_content(draft),
        issued_on=issued_on,
        by=by,
        series=CREDIT_NOTE,
    )
    note, rows = credit_rows(draft, paper, submission)
    note.save()
    for kind, its in rows.items():
        kind.objects.bulk_create(its)
    # What was paid already beyond what is left lies on account again.
    free_overpaid(invoice=invoice, by=by)
    _put_down(note, by)
    return note


def lock_invoice(invoice: Invoice) -> Invoice:
    """The invoice's row, locked behind its orders' and read afresh. Needs a transaction."""
    list(orders_of(invoice).select_for_update().order_by("pk"))
    # Before the invoice, as whoever posts a payment does.
    lock_ledger(invoice.shop)
    rows = Invoice.objects.select_for_update(of=("self",)).select_related("shop", "paper", "order")
    return rows.get(pk=invoice.pk)


def credit_rows(draft: CreditDraft, paper, submission: UUID | None = None) -> tuple[CreditNote, dict[type, list]]:
    """The credit note and its rows by model, none of them saved yet."""
    total, invoice = draft.total, draft.invoice
    note = CreditNote(
        paper=paper,
        invoice=invoice,
        shop=draft.shop,
        why=draft.why,
        reason=draft.reason,
        anew=draft.anew,
        tax_point=draft.tax_point,
        submission=submission,
        currency=invoice.currency,
        vat_rounding=invoice.vat_rounding,
        **ledger_sums(total, draft.sterling),
    )
    lines = [
        CreditNoteLine(note=note, position=n, invoice_line=line.invoice_line, pairs=line.pairs, net=line.net)
        for n, line in enumerate(draft.lines, start=1)
    ]
    return note, {CreditNoteLine: lines, CreditNoteVat: [CreditNoteVat(note=note, **row) for row in vat_sums(total)]}


def _put_down(note: CreditNote, by) -> None:
    invoice = note.invoice
    what = f"{note.paper.number} issued: {in_pounds(note.gross)} {note.currency} off {invoice}. {note.reason}"
    for subject, key in (("credit note", note.pk), ("invoice", invoice.pk), ("shop", note.shop_id)):
        record(subject=subject, subject_id=key, what=what, by=by)
    for key in orders_of(invoice).order_by("pk").values_list("pk", flat=True):
        record(subject="order", subject_id=key, what=what, by=by)
