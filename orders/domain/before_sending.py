"""Issuing the papers an order can have before its goods leave. Locks: the order; its row guards both."""

from datetime import date
from decimal import Decimal
from uuid import UUID

from django.db import transaction

from inventory.domain.records import record
from orders.documents.invoice import invoice_content
from orders.domain.invoicing import FiguresChanged, figures_of, write_invoice
from orders.domain.order_draft import draft_deposit, draft_pro_forma
from orders.domain.papers import issue_paper
from orders.models import Invoice, Order, ProForma
from orders.models.paper import INVOICE, PRO_FORMA
from orders.money import in_pounds


@transaction.atomic
def issue_pro_forma(*, order: Order, issued_on: date, by, submission: UUID | None = None) -> ProForma:
    """A pro forma over what is still to be sent: its own number, never in the ledger, no VAT invoice.

    The same `submission` sent again gives the one it made the first time. All refusals of draft_pro_forma hold.
    """
    order = _lock(order)
    if submission and (done := ProForma.objects.filter(submission=submission).select_related("paper").first()):
        return done
    draft = draft_pro_forma(order=order, issued_on=issued_on)
    paper = issue_paper(
        kind=PRO_FORMA,
        shop=order.shop,
        content=invoice_content(draft),
        issued_on=issued_on,
        by=by,
        series=PRO_FORMA,
    )
    made = ProForma.objects.create(
        paper=paper, order=order, currency=draft.currency, gross=draft.total.gross, submission=submission
    )
    what = f"{paper.number} issued, a pro forma for {in_pounds(made.gross)} {made.currency}"
    record(subject="order", subject_id=order.pk, what=what, by=by)
    record(subject="shop", subject_id=order.shop_id, what=f"{what} on order {order.number}", by=by)
    return made


@transaction.atomic
def issue_deposit(
    *, order: Order, received: Decimal, received_on: date, issued_on: date, by, seen: str | None = None
) -> Invoice:
    """The invoice of money received before the goods left; a later invoice over goods of the order takes it off.

    `seen` is figures_of the draft a person looked at: sent twice, the second finds the figures changed, because the
    first one's deposit has come off what is still to be paid. All refusals of draft_deposit hold.
    """
    order = _lock(order)
    draft = draft_deposit(order=order, received=received, received_on=received_on, issued_on=issued_on)
    if seen is not None and seen != deposit_figures(draft):
        raise FiguresChanged("The figures changed while you looked at them. Look again, then issue.")
    paper = issue_paper(
        kind=INVOICE,
        shop=order.shop,
        content=invoice_content(draft),
        issued_on=issued_on,
        by=by,
        series=INVOICE,
    )
    return write_invoice(draft, paper, by)


def deposit_figures(draft) -> str:
    """A digest of the draft and of the deposits invoiced on the order before it."""
    before = draft.order.deposit_invoices.count()
    return f"{figures_of(draft)[:13]}{before % 1000:03d}"


def _lock(order: Order) -> Order:
    rows = Order.objects.select_for_update(of=("self",)).select_related("shop", "deliver_to")
    return rows.get(pk=order.pk)
