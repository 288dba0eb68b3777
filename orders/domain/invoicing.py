"""Issuing an invoice: its number, frozen content and ledger rows are one transaction."""

import hashlib
from collections.abc import Iterable
from datetime import date

from django.core.exceptions import ValidationError
from django.db import transaction

from inventory.domain.records import record
from orders.documents.invoice import invoice_content
from orders.domain.draft_sums import ledger_sums, vat_sums
from orders.domain.drafts import InvoiceDraft
from orders.domain.invoice_draft import draft_invoice
from orders.domain.papers import digest_of, issue_paper
from orders.models import (
    Delivery,
    DepositDeducted,
    ExportEvidence,
    Invoice,
    InvoicedDelivery,
    InvoiceLine,
    InvoiceVat,
    Order,
    Shop,
)
from orders.models.invoice import DEPOSIT, GOODS
from orders.models.paper import INVOICE
from orders.money import in_pounds
from orders.vat_treatment import EXPORT, evidence_due


class FiguresChanged(ValidationError):
    """What would be issued is no longer what was looked at."""


def figures_of(draft: InvoiceDraft) -> str:
    """A short digest of everything the draft would print: the preview sends it back, so what was seen is issued."""
    return hashlib.sha256(digest_of(invoice_content(draft)).encode()).hexdigest()[:16]


@transaction.atomic
def issue_invoice(*, shop: Shop, delivery_ids: Iterable[int], issued_on: date, by, seen: str | None = None) -> Invoice:
    """Issue one invoice over deliveries of the shop that have left. All refusals of draft_invoice hold.

    `seen` is figures_of the draft a person looked at; where it no longer fits, nothing is issued. Two who invoice the
    same delivery at once: the second gets AlreadyInvoiced. The number runs without a gap, because a transaction that
    fails gives it back.
    """
    delivery_ids = set(delivery_ids)
    # Orders first, then deliveries: the house's order of locks. An order's row also guards its carriage, which two
    # invoices over different deliveries of it could otherwise both charge.
    orders = Order.objects.filter(deliveries__in=delivery_ids, shop=shop).values("pk")
    list(Order.objects.select_for_update().filter(pk__in=orders).order_by("pk"))
    list(Delivery.objects.select_for_update().filter(pk__in=delivery_ids).order_by("pk"))
    draft = draft_invoice(shop=shop, delivery_ids=delivery_ids, issued_on=issued_on)
    if seen is not None and seen != figures_of(draft):
        raise FiguresChanged("The figures changed while you looked at them. Look again, then issue.")
    paper = issue_paper(
        kind=INVOICE, shop=shop, content=invoice_content(draft), issued_on=issued_on, by=by, series="invoice"
    )
    return write_invoice(draft, paper, by)


def write_invoice(draft: InvoiceDraft, paper, by) -> Invoice:
    """The ledger's rows of an issued paper, and the record of it. Belongs inside the issuing transaction."""
    invoice, rows = ledger_rows(draft, paper, _rounds(draft))
    invoice.save()
    for kind, its in rows.items():
        kind.objects.bulk_create(its)
    _put_down(invoice, draft, by)
    return invoice


def _rounds(draft: InvoiceDraft) -> dict[int, int]:
    """How often each delivery was invoiced before, and taken back to be invoiced anew."""
    found: dict[int, int] = {}
    for key in InvoicedDelivery.objects.filter(delivery__in=draft.deliveries).values_list("delivery", flat=True):
        found[key] = found.get(key, 0) + 1
    return found


def ledger_rows(draft: InvoiceDraft, paper, rounds: dict[int, int] | None = None) -> tuple[Invoice, dict[type, list]]:
    """The invoice and its rows by model, none of them saved yet. `rounds` by delivery: 0 where it has none."""
    total, prompt = draft.total, draft.prompt
    invoice = Invoice(
        paper=paper,
        shop=draft.shop,
        kind=DEPOSIT if draft.order else GOODS,
        order=draft.order,
        treatment=draft.treatment.kind,
        currency=draft.currency,
        tax_point=draft.tax_point.day,
        due_on=draft.due_on,
        vat_rounding=draft.workshop.vat_rounding,
        **ledger_sums(total, draft.sterling),
        **{f"prompt_{name}": getattr(prompt, name) for name in ("by", "percent", "vat", "gross") if prompt},
    )
    rounds = rounds or {}
    deliveries = [
        InvoicedDelivery(invoice=invoice, delivery=delivery, round=rounds.get(delivery.pk, 0))
        for delivery in draft.deliveries
    ]
    return invoice, {
        InvoicedDelivery: deliveries,
        InvoiceLine: _line_rows(invoice, draft),
        InvoiceVat: [InvoiceVat(invoice=invoice, **row) for row in vat_sums(total)],
        DepositDeducted: _deducted_rows(invoice, draft),
        ExportEvidence: [ExportEvidence(invoice=invoice, due_by=evidence_due(draft.tax_point.day))]
        if draft.treatment.kind == EXPORT
        else [],
    }


def _line_rows(invoice: Invoice, draft: InvoiceDraft) -> list:
    return [
        InvoiceLine(
            invoice=invoice,
            position=position,
            order_line=line.order_line,
            pairs=line.pairs,
            price=line.price,
            discount=line.discount,
            net=line.net,
            category=line.rate.category,
            percent=line.rate.percent,
        )
        for position, line in enumerate(draft.lines, start=1)
    ]


def _deducted_rows(invoice: Invoice, draft: InvoiceDraft) -> list:
    # A deposit whose rate is no longer in force comes off several rates: one row for each rate it was taxed at.
    sums: dict[tuple, list] = {}
    for part in draft.deducted:
        sums.setdefault((part.deposit, part.of), []).append(part.net)
    return [
        DepositDeducted(invoice=invoice, deposit=deposit, category=of.category, percent=of.percent, net=sum(nets))
        for (deposit, of), nets in sums.items()
    ]


def _put_down(invoice: Invoice, draft: InvoiceDraft, by) -> None:
    for_what = ", ".join(str(delivery) for delivery in draft.deliveries) or f"a deposit on order {draft.order.number}"
    what = f"{invoice.paper.number} issued: {in_pounds(invoice.gross)} {invoice.currency} for {for_what}"
    record(subject="invoice", subject_id=invoice.pk, what=what, by=by)
    record(subject="shop", subject_id=draft.shop.pk, what=what, by=by)
    if draft.order:
        record(subject="order", subject_id=draft.order.pk, what=what, by=by)
    for order in {delivery.order_id: delivery.order for delivery in draft.deliveries}.values():
        its = ", ".join(str(delivery) for delivery in draft.deliveries if delivery.order_id == order.pk)
        record(subject="order", subject_id=order.pk, what=f"{invoice.paper.number} issued for {its}", by=by)
    for delivery in draft.deliveries:
        record(subject="delivery", subject_id=delivery.pk, what=f"Invoiced on {invoice.paper.number}", by=by)
