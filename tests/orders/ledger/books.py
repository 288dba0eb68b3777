"""A shop with invoices of round amounts, straight into the tables: what the ledger's tests start from."""

import itertools
from datetime import date, timedelta
from decimal import Decimal

from django.utils import timezone

from orders.domain.papers import issue_paper
from orders.models import CreditNote, Invoice, Paper
from orders.queries.debts import on_account, open_papers
from tests.factories import make_person, make_shop

_serial = itertools.count(1)


def make_invoice(shop=None, gross="120.00", *, due=10, issued=None, currency="GBP", **fields) -> Invoice:
    """An invoice of one sum, VAT a sixth of it, due in `due` days (below nought: that long ago)."""
    shop = shop or make_shop()
    today = timezone.localdate()
    due_on = due if isinstance(due, date) else today + timedelta(days=due)
    issued_on = issued or min(today, due_on - timedelta(days=30))
    gross = Decimal(gross)
    vat = (gross / 6).quantize(Decimal("0.01"))
    paper = issue_paper(
        kind="invoice", shop=shop, content={"title": "Invoice"}, issued_on=issued_on, by=make_person("bookkeeper"),
        series="invoice",
    )  # fmt: skip
    return Invoice.objects.create(
        paper=paper, shop=shop, tax_point=issued_on, due_on=due_on, vat_rounding="half-up", goods=gross - vat,
        carriage=0, net=gross - vat, vat=vat, vat_sterling=vat, gross=gross, currency=currency, **fields,
    )  # fmt: skip


def make_credit(invoice: Invoice, gross: str) -> CreditNote:
    """A credit note of one sum against an invoice."""
    gross, today = Decimal(gross), timezone.localdate()
    vat = (gross / 6).quantize(Decimal("0.01"))
    paper = Paper.objects.create(
        kind="credit note", number=f"CN-T{next(_serial)}", shop=invoice.shop, content={}, content_sha256="",
        issued_on=today, issued_at=timezone.now(), issued_by=make_person("bookkeeper"),
    )  # fmt: skip
    return CreditNote.objects.create(
        paper=paper, invoice=invoice, shop=invoice.shop, why="returned", reason="bent", tax_point=today,
        vat_rounding="half-up", goods=gross - vat, carriage=0, net=gross - vat, vat=vat, gross=gross,
        currency=invoice.currency,
    )  # fmt: skip


def key(invoice: Invoice) -> str:
    return f"i{invoice.pk}"


def balance_by_papers(shop, currency: str) -> Decimal:
    """What the shop owes by what is open of each paper, less what lies on account: the ledger's balance, told anew."""
    owed = sum(one.open for one in open_papers([shop.pk]) if one.currency == currency)
    return owed - on_account([shop.pk]).get((shop.pk, currency), Decimal("0.00"))
