"""Payments: never matched above either side, taken back whole or not at all, each ledger the sum of its papers."""

from collections.abc import Iterator
from decimal import Decimal

from django.db.models import F, Q, Sum

from orders.models import BankLine, CreditNote, Invoice, LateCharge, Payment, PaymentPart, PromptTaken, Shop
from orders.models.payment import CAME_IN, PAID_BACK
from orders.money import NOUGHT, in_pounds
from orders.queries.debts import (
    PENCE,
    in_pence,
    invoices_with_open,
    on_account,
    open_papers,
    payments_with_left,
    summed,
)


def breaches() -> Iterator[str]:
    yield from _payments()
    yield from _papers()
    yield from _parts()
    yield from _refunds()
    yield from _charges()
    yield from _bank_lines()
    yield from _ledgers()


def _payments():
    for row in payments_with_left().filter(Q(left__lt=0) | Q(used__lt=0)).order_by("pk").iterator():
        yield f"payment {row.pk}: {in_pounds(row.used)} of it is put against papers, {in_pounds(row.amount)} came in"
    rows = Payment.objects.filter(taken_back__isnull=False).annotate(
        used=summed(PaymentPart.objects, "amount", "payment")
    )
    for row in rows.exclude(used=0).order_by("pk").iterator():
        yield f"payment {row.pk} was taken back, yet {in_pounds(row.used)} of it still settles papers"
    wrong = Payment.objects.filter(reverses__isnull=False).exclude(
        amount=F("reverses__amount"), currency=F("reverses__currency"), shop=F("reverses__shop")
    )
    for row in wrong.order_by("pk").iterator():
        yield f"payment {row.pk} takes back payment {row.reverses_id}, but of another amount, currency or shop"


def _papers():
    rows = invoices_with_open().filter(Q(open__lt=0) | Q(paid__lt=0) | Q(prompt__lt=0)).select_related("paper")
    for row in rows.order_by("pk").iterator():
        yield (
            f"invoice {row.paper.number}: {in_pounds(row.paid)} paid, {in_pounds(row.credited)} credited and "
            f"{in_pounds(row.prompt)} discount are more than its {in_pounds(row.gross)}"
        )
    charges = LateCharge.objects.annotate(paid=summed(PaymentPart.objects, "amount", "late_charge"))
    for row in charges.filter(Q(paid__lt=0) | Q(paid__gt=F("amount"))).select_related("paper").order_by("pk"):
        yield f"late charge {row.paper.number}: {in_pounds(row.paid)} paid of {in_pounds(row.amount)}"
    for row in charges.filter(waiver__isnull=False).exclude(paid=0).select_related("paper").order_by("pk"):
        yield f"late charge {row.paper.number} was let go, yet {in_pounds(row.paid)} is put against it"


def _parts():
    """A part joins a payment with a paper of the same shop and currency; of the two together never below nought."""
    for name in ("invoice", "late_charge", "refund"):
        rows = PaymentPart.objects.filter(**{f"{name}__isnull": False}).select_related("payment")
        same = {"payment__shop": F(f"{name}__shop"), "payment__currency": F(f"{name}__currency")}
        for row in rows.exclude(**same).order_by("pk").iterator():
            yield f"payment {row.payment_id}: part {row.pk} settles a paper of another shop or currency"
        sums = rows.order_by().values("payment", name).annotate(held=in_pence(Sum("amount")))
        for pair in sums.filter(held__lt=0):
            yield f"payment {pair['payment']}: more was taken off a paper than was put against it"
    for row in PaymentPart.objects.exclude(payment__kind=CAME_IN).order_by("pk").iterator():
        yield f"payment part {row.pk} is of payment {row.payment_id}, which did not come in"


def _refunds():
    """A refund was paid out of money on account, to the penny; one taken back out of none."""
    rows = Payment.objects.filter(kind=PAID_BACK).annotate(drawn=summed(PaymentPart.objects, "amount", "refund"))
    for row in rows.filter(taken_back=None).exclude(drawn=F("amount")).order_by("pk").iterator():
        yield f"refund {row.pk}: {in_pounds(row.amount)} was paid back, out of {in_pounds(row.drawn)} on account"
    for row in rows.filter(taken_back__isnull=False).exclude(drawn=0).order_by("pk").iterator():
        yield f"refund {row.pk} was taken back, yet {in_pounds(row.drawn)} is still drawn for it"


def _charges():
    """What is printed is what stands in the ledger; the fixed sum is asked once a debt."""
    for row in LateCharge.objects.select_related("paper", "invoice__paper").order_by("pk").iterator():
        printed = row.paper.content.get("amount")
        if printed != in_pounds(row.amount):
            yield f"late charge {row.paper.number}: {row.amount} in the ledger, {printed} printed"
        if row.shop_id != row.invoice.shop_id or row.currency != row.invoice.currency:
            yield f"late charge {row.paper.number} is for an invoice of another shop or currency"
    standing = Q(late_charges__waiver=None, late_charges__fixed__gt=0)
    for invoice in Invoice.objects.filter(standing).select_related("paper").order_by("pk"):
        if invoice.late_charges.filter(waiver=None, fixed__gt=0).count() > 1:
            yield f"invoice {invoice.paper.number}: the fixed sum for late payment was charged twice"


def _bank_lines():
    rows = BankLine.objects.filter(payment__isnull=False)
    wrong = rows.exclude(payment__amount=F("amount"), payment__currency=F("currency"), payment__on=F("on"))
    for row in wrong.order_by("pk").iterator():
        yield f"bank line {row.pk} says {row.amount} on {row.on}, its payment {row.payment_id} something else"


def _ledgers():
    """Every ledger's balance is what is open of each of its papers, less what lies on account. Nine queries."""
    moved, stands = _moved(), _stands()
    names = {shop.pk: shop for shop in Shop.objects.filter(pk__in={shop for shop, _ in moved | stands})}
    for shop, currency in sorted(moved | stands):
        balance, papers = moved.get((shop, currency), NOUGHT), stands.get((shop, currency), NOUGHT)
        if balance != papers:
            yield f"ledger of {names[shop]} in {currency}: the balance is {balance}, its papers add up to {papers}"


def _moved() -> dict[tuple[int, str], Decimal]:
    """The balance of each ledger: all that was invoiced, charged, credited and paid, added up."""
    sides = (
        (1, Invoice.objects, "gross", ""),
        (-1, CreditNote.objects, "gross", ""),
        (1, LateCharge.objects.filter(waiver=None), "amount", ""),
        (-1, PromptTaken.objects, "gross", "invoice__"),
        (-1, Payment.objects.filter(Q(kind=CAME_IN) | Q(reverses__kind=PAID_BACK)), "amount", ""),
        (1, Payment.objects.filter(Q(kind=PAID_BACK) | Q(reverses__kind=CAME_IN)), "amount", ""),
    )
    found: dict[tuple[int, str], Decimal] = {}
    for sign, rows, amount, of in sides:
        sums = rows.order_by().values_list(f"{of}shop", f"{of}currency").annotate(total=Sum(amount))
        for shop, currency, total in sums:
            found[shop, currency] = found.get((shop, currency), NOUGHT) + sign * total.quantize(PENCE)
    return found


def _stands() -> dict[tuple[int, str], Decimal]:
    """What is open of every paper, less what lies on account."""
    found = {key: -left for key, left in on_account().items()}
    for one in open_papers():
        found[one.shop_id, one.currency] = found.get((one.shop_id, one.currency), NOUGHT) + one.open
    return found
