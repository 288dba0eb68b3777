"""Issuing an invoice: its number, frozen content and ledger rows are one transaction."""

import hashlib
from collections.abc import Iterable
from datetime import date

from django.core.exceptions import ValidationError
from django.db import transaction

from inventory.domain.records import record
from orders.documents.invoice import invoice_content
from orders.domain.invoice_draft import AlreadyInvoiced, InvoiceDraft, draft_invoice
from orders.domain.papers import digest_of, issue_paper
from orders.models import Delivery, Invoice, InvoicedDelivery, InvoiceLine, InvoiceVat, Order, Shop
from orders.models.paper import INVOICE
from orders.money import in_pounds

__all__ = ["AlreadyInvoiced", "FiguresChanged", "draft_invoice", "figures_of", "issue_invoice"]


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
    invoice = _write(draft, paper)
    _put_down(invoice, draft, by)
    return invoice


def _write(draft: InvoiceDraft, paper) -> Invoice:
    invoice, rows = ledger_rows(draft, paper)
    invoice.save()
    for kind, its in rows.items():
        kind.objects.bulk_create(its)
    return invoice


def ledger_rows(draft: InvoiceDraft, paper) -> tuple[Invoice, dict[type, list]]:
    """The invoice and its rows by model, none of them saved yet."""
    total = draft.total
    invoice = Invoice(
        paper=paper,
        shop=draft.shop,
        tax_point=draft.tax_point.day,
        due_on=draft.due_on,
        vat_rounding=draft.workshop.vat_rounding,
        goods=total.goods,
        carriage=total.carriage,
        net=total.net,
        vat=total.vat,
        gross=total.gross,
    )
    deliveries = [InvoicedDelivery(invoice=invoice, delivery=delivery) for delivery in draft.deliveries]
    return invoice, {
        InvoicedDelivery: deliveries,
        InvoiceLine: _line_rows(invoice, draft),
        InvoiceVat: _vat_rows(invoice, draft),
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


def _vat_rows(invoice: Invoice, draft: InvoiceDraft) -> list:
    return [
        InvoiceVat(
            invoice=invoice,
            category=part.rate.category,
            percent=part.rate.percent,
            taxable=part.taxable,
            carriage=part.carriage,
            vat=part.vat,
        )
        for part in draft.total.rates
    ]


def _put_down(invoice: Invoice, draft: InvoiceDraft, by) -> None:
    numbers = ", ".join(str(delivery) for delivery in draft.deliveries)
    what = f"{invoice.paper.number} issued: {in_pounds(invoice.gross)} GBP for {numbers}"
    record(subject="invoice", subject_id=invoice.pk, what=what, by=by)
    record(subject="shop", subject_id=draft.shop.pk, what=what, by=by)
    for order in {delivery.order_id: delivery.order for delivery in draft.deliveries}.values():
        its = ", ".join(str(delivery) for delivery in draft.deliveries if delivery.order_id == order.pk)
        record(subject="order", subject_id=order.pk, what=f"{invoice.paper.number} issued for {its}", by=by)
    for delivery in draft.deliveries:
        record(subject="delivery", subject_id=delivery.pk, what=f"Invoiced on {invoice.paper.number}", by=by)
