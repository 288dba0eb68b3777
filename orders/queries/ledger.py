"""A shop's ledger: every paper and payment in the order of their days, with the balance after each."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from orders.models import CreditNote, Invoice, LateCharge, LateWaiver, Payment, PromptTaken, Shop
from orders.models.payment import CAME_IN, PAID_BACK
from orders.money import NOUGHT, in_pounds

# On one day what is owed goes before what settles it.
RANKS = ("invoice", "late charge", "credit note", "payment", "discount", "refund", "taken back", "let go")


@dataclass(frozen=True)
class Entry:
    """One row: `debit` is what they owe more, `credit` what they owe less; `balance` after it (below nought: ours)."""

    on: date
    kind: str
    what: str
    url: str
    debit: Decimal = NOUGHT
    credit: Decimal = NOUGHT
    balance: Decimal = NOUGHT


def ledger_of(shop: Shop, currency: str) -> list[Entry]:
    """Everything of one currency, the oldest first. Six queries."""
    found = sorted(_entries(shop, currency), key=lambda one: (one.on, RANKS.index(one.kind), one.what))
    rows, balance = [], NOUGHT
    for one in found:
        balance += one.debit - one.credit
        rows.append(replace(one, balance=balance))
    return rows


def currencies_of(shop: Shop) -> list[str]:
    """The currencies a shop's ledger holds, its own first. Two queries."""
    found = set(Invoice.objects.filter(shop=shop).values_list("currency", flat=True))
    found |= set(Payment.objects.filter(shop=shop).values_list("currency", flat=True))
    return sorted(found | {shop.currency}, key=lambda one: (one != shop.currency, one))


def _entries(shop: Shop, currency: str) -> Iterator[Entry]:
    of_shop = {"shop": shop, "currency": currency}
    for row in Invoice.objects.filter(**of_shop).select_related("paper").defer("paper__content"):
        yield Entry(row.paper.issued_on, "invoice", f"Invoice {row}", row.get_absolute_url(), debit=row.gross)
    notes = CreditNote.objects.filter(**of_shop).select_related("paper", "invoice__paper")
    for row in notes.defer("paper__content", "invoice__paper__content"):
        what = f"Credit note {row} against {row.invoice}"
        yield Entry(row.paper.issued_on, "credit note", what, row.get_absolute_url(), credit=row.gross)
    for row in LateCharge.objects.filter(**of_shop).select_related("paper", "invoice__paper"):
        what = f"Charge {row} for late payment of {row.invoice}"
        yield Entry(row.paper.issued_on, "late charge", what, row.get_absolute_url(), debit=row.amount)
    waivers = LateWaiver.objects.filter(charge__shop=shop, charge__currency=currency)
    for row in waivers.select_related("charge__paper"):
        what = f"Charge {row.charge} let go"
        yield Entry(row.at.date(), "let go", what, row.charge.get_absolute_url(), credit=row.charge.amount)
    for row in Payment.objects.filter(**of_shop).select_related("reverses"):
        yield _payment(row)
    taken = PromptTaken.objects.filter(invoice__shop=shop, invoice__currency=currency)
    for row in taken.select_related("invoice__paper").defer("invoice__paper__content"):
        side = {"credit": row.gross} if row.gross > 0 else {"debit": -row.gross}
        again = "" if row.gross > 0 else ", taken back"
        what = f"Discount for prompt payment of {row.invoice}{again}"
        yield Entry(row.on, "discount", what, row.invoice.get_absolute_url(), **side)


def _payment(row: Payment) -> Entry:
    url = (row.reverses or row).get_absolute_url()
    if row.kind == CAME_IN:
        what = f"Payment, {row.get_how_display()}" + (f": {row.reference}" if row.reference else "")
        return Entry(row.on, "payment", what, url, credit=row.amount)
    if row.kind == PAID_BACK:
        return Entry(row.on, "refund", "Paid back" + (f": {row.reason}" if row.reason else ""), url, debit=row.amount)
    back = f"{row.reverses.get_kind_display().capitalize()} of {in_pounds(row.amount)} {row.get_kind_display()}"
    side = "debit" if row.reverses.kind == CAME_IN else "credit"
    return Entry(row.on, "taken back", f"{back}: {row.reason}", url, **{side: row.amount})
