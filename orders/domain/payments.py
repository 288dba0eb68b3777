"""Posting payments: what came in, put against papers; what bounced, was a mistake or is paid back.

One lock guards a shop's ledger: its row. Whoever posts, shares out, credits or charges takes it first, so that what is
open is counted while nobody else can change it. Nothing is changed afterwards; counter postings put things right.
"""

from collections.abc import Iterable, Mapping
from datetime import date
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from inventory.domain.records import record
from inventory.words import day
from orders.domain.periods import refuse_closed
from orders.models import Invoice, Payment, PaymentPart, PromptTaken, Shop
from orders.models.payment import BOUNCED, CAME_IN, MISTAKE, PAID_BACK, TAKING_BACK
from orders.money import MOST, NOUGHT, in_pounds
from orders.queries.debts import OpenPaper, on_account, open_papers, payments_with_left

EARLIEST = date(2000, 1, 1)
AIMS = {"i": "invoice_id", "l": "late_charge_id"}


def lock_ledger(shop: Shop) -> Shop:
    """The shop, locked for its ledger. no_key: orders of the shop can be taken meanwhile."""
    return Shop.objects.select_for_update(no_key=True).get(pk=shop.pk)


@transaction.atomic
def post_payment(
    *,
    shop: Shop,
    amount: Decimal,
    on: date,
    how: str,
    by,
    currency: str = "GBP",
    reference: str = "",
    parts: Mapping[str, Decimal] | None = None,
    prompt: Iterable[str] = (),
    submission=None,
) -> Payment:
    """Post what came in. `parts`: amount by key of an open paper (OpenPaper.key); what is in none is on account.

    `prompt`: keys of papers settled with the discount for prompt payment they offer. The same submission posted twice
    is one payment. ValidationError by field (amount, on, currency, parts) where it does not fit what is open.
    """
    shop = lock_ledger(shop)
    if submission and (same := Payment.objects.filter(submission=submission).first()):
        return same
    checked_amount(amount)
    checked_day(on)
    payment = Payment.objects.create(
        shop=shop, currency=currency, amount=amount, on=on, how=how, reference=reference.strip()[:140],
        submission=submission, at=timezone.now(), by=by,
    )  # fmt: skip
    said = _put(payment, parts or {}, set(prompt), amount, by)
    _tell(payment, f"{in_pounds(amount)} {currency} came in on {day(on)}: {said}", by)
    return payment


@transaction.atomic
def share_payment(*, payment: Payment, parts: Mapping[str, Decimal], by) -> None:
    """Put what lies on account of a payment against open papers. ValidationError where more is asked than is left."""
    lock_ledger(payment.shop)
    left = _left(payment)
    if not any(parts.values()):
        raise ValidationError({"parts": "Say how much goes against which paper."})
    said = _put(payment, parts, set(), left, by)
    _tell(payment, f"On account until now: {said}", by)


@transaction.atomic
def take_off(*, payment: Payment, key: str, reason: str, by) -> Decimal:
    """Take a payment off a paper again: it goes back on account, by a counter posting. Twice does nothing more."""
    lock_ledger(payment.shop)
    reason = checked_reason(reason)
    _left(payment)
    taken = _counter(payment, reason, by, **{AIMS[key[0]]: int(key[1:])})
    if taken:
        _tell(payment, f"{in_pounds(taken)} put back on account: {reason}", by)
    return taken


@transaction.atomic
def take_back(*, payment: Payment, kind: str, on: date, reason: str, by) -> Payment:
    """A payment bounced, or was entered by mistake: what it paid is open again. Twice is once.

    A refund can be taken back too; what it paid out is on account again. ValidationError where money of the payment
    was paid back meanwhile.
    """
    lock_ledger(payment.shop)
    if kind not in TAKING_BACK or payment.kind in TAKING_BACK:
        raise ValidationError("Only a payment or a refund can be taken back.")
    if done := Payment.objects.filter(reverses=payment).first():
        return done
    reason = checked_reason(reason)
    checked_day(on)
    if on < payment.on:
        raise ValidationError({"on": f"Not before {day(payment.on)}, when it came."})
    if PaymentPart.objects.filter(payment=payment, refund__taken_back=None, refund__isnull=False).exists():
        raise ValidationError("Part of it was paid back to them: take that refund back first.")
    _free(payment, reason, by)
    back = Payment.objects.create(
        kind=kind, shop=payment.shop, currency=payment.currency, amount=payment.amount, on=on, how=payment.how,
        reason=reason, reverses=payment, at=timezone.now(), by=by,
    )  # fmt: skip
    if kind == MISTAKE:
        # Its line of the bank's file waits again, for the right posting.
        _release_bank_line(payment)
    said = "bounced" if kind == BOUNCED else "was entered by mistake"
    _tell(payment, f"{payment} {said} ({day(on)}): {reason}", by)
    return back


@transaction.atomic
def pay_back(
    *, shop: Shop, amount: Decimal, on: date, how: str, by, currency: str = "GBP", reason: str = "", submission=None
) -> Payment:
    """Pay back what lies on account, out of the oldest payments. ValidationError for more than lies there."""
    shop = lock_ledger(shop)
    if submission and (same := Payment.objects.filter(submission=submission).first()):
        return same
    checked_amount(amount)
    checked_day(on)
    there = on_account([shop.pk]).get((shop.pk, currency), NOUGHT)
    if amount > there:
        raise ValidationError({"amount": f"Only {in_pounds(there)} {currency} of theirs lies on account."})
    refund = Payment.objects.create(
        kind=PAID_BACK, shop=shop, currency=currency, amount=amount, on=on, how=how, reason=reason.strip()[:200],
        submission=submission, at=timezone.now(), by=by,
    )  # fmt: skip
    rest = amount
    for payment in payments_with_left().filter(shop=shop, currency=currency, left__gt=0).order_by("on", "pk"):
        part = min(rest, payment.left)
        if part > 0:
            write_part(payment, part, by, refund_id=refund.pk)
            rest -= part
    _tell(refund, f"{in_pounds(amount)} {currency} paid back on {day(on)}", by)
    return refund


@transaction.atomic
def free_overpaid(*, invoice: Invoice, by) -> Decimal:
    """What payments hold of an invoice beyond what it comes to now goes back on account; how much that is.

    For credit notes: an invoice paid already and then credited leaves money of the shop's with us. The newest payment
    gives first.
    """
    lock_ledger(invoice.shop)
    credited = sum((note.gross for note in invoice.credit_notes.all()), NOUGHT)
    prompt = sum((one.gross for one in invoice.prompt_taken.all()), NOUGHT)
    held: dict[Payment, Decimal] = {}
    for part in invoice.paid_parts.select_related("payment").order_by("-payment__on", "-payment_id"):
        held[part.payment] = held.get(part.payment, NOUGHT) + part.amount
    over = freed = sum(held.values(), NOUGHT) + credited + prompt - invoice.gross
    for payment, amount in held.items():
        part = min(over, amount)
        if part > 0:
            write_part(payment, -part, by, invoice_id=invoice.pk, reason="credited after it was paid")
            _tell(payment, f"{in_pounds(part)} of {invoice} put back on account: credited after it was paid", by)
            over -= part
    return max(freed, NOUGHT)


def checked_amount(amount: Decimal) -> Decimal:
    """An amount above nought that fits the book, in whole pence. ValidationError for `amount`."""
    if amount <= 0:
        raise ValidationError({"amount": "An amount above nought. Money that went out is a refund."})
    if amount > MOST or amount != amount.quantize(Decimal("0.01")):
        raise ValidationError({"amount": f"Whole pence, and at most {in_pounds(MOST)}."})
    return amount


def checked_day(on: date) -> date:
    if not EARLIEST <= on <= timezone.localdate():
        raise ValidationError({"on": "A day up to today."})
    refuse_closed(on, "on")
    return on


def checked_reason(reason: str) -> str:
    reason = reason.strip()
    if not reason or len(reason) > 200:
        raise ValidationError({"reason": "Say why, in at most 200 characters."})
    return reason


def _left(payment: Payment) -> Decimal:
    """What lies on account of it. ValidationError for a payment that cannot be shared out (any more)."""
    row = payments_with_left().filter(pk=payment.pk).first()
    if row is None:
        raise ValidationError(f"{payment} counts no more: it bounced or was a mistake.")
    return row.left


def _put(payment: Payment, parts: Mapping[str, Decimal], prompt: set[str], left: Decimal, by) -> str:
    """Write the parts, none above what its paper has open nor all together above `left`; says what became of it."""
    asked = {key: amount for key, amount in parts.items() if amount}
    papers = {one.key: one for one in open_papers([payment.shop_id])}
    for key, amount in asked.items():
        _refuse_part(papers.get(key), amount, payment)
    total = sum(asked.values(), NOUGHT)
    if total > left:
        raise ValidationError({"parts": f"{in_pounds(total)} is put against papers, but there are {in_pounds(left)}."})
    said = []
    for key, amount in asked.items():
        write_part(payment, amount, by, **{AIMS[key[0]]: papers[key].row.pk})
        if key in prompt:
            _take_prompt(papers[key], amount, payment, by)
        said.append(f"{in_pounds(amount)} for {papers[key].number}")
    if left > total:
        said.append(f"{in_pounds(left - total)} on account")
    return ", ".join(said)


def _refuse_part(paper: OpenPaper | None, amount: Decimal, payment: Payment) -> None:
    if paper is None:
        raise ValidationError({"parts": "One of these papers is settled by now, or not of this shop. Look again."})
    if paper.currency != payment.currency:
        raise ValidationError(
            {"currency": f"{paper.number} is in {paper.currency}; a payment in {payment.currency} cannot settle it."}
        )
    if amount < 0 or amount != amount.quantize(Decimal("0.01")):
        raise ValidationError({"parts": f"{paper.number}: an amount from nought up, in whole pence."})
    if amount > paper.open:
        raise ValidationError({"parts": f"{paper.number} has {in_pounds(paper.open)} open; more cannot go there."})


def _take_prompt(paper: OpenPaper, amount: Decimal, payment: Payment, by) -> None:
    offer = paper.prompt
    if offer is None or payment.on > offer[0] or amount != offer[1]:
        raise ValidationError({"parts": f"{paper.number} offers no discount for this amount on that day."})
    invoice = paper.row
    PromptTaken.objects.create(
        invoice=invoice, payment=payment, gross=invoice.gross - invoice.prompt_gross,
        vat=invoice.vat - invoice.prompt_vat, on=payment.on, at=timezone.now(), by=by,
    )  # fmt: skip


def write_part(payment: Payment, amount: Decimal, by, *, reason: str = "", **aim) -> PaymentPart:
    """One part, without a check: the caller holds the ledger's lock and has counted."""
    return PaymentPart.objects.create(payment=payment, amount=amount, reason=reason, at=timezone.now(), by=by, **aim)


def _counter(payment: Payment, reason: str, by, **aim) -> Decimal:
    """Take off all that a payment holds of one paper, the discount it brought too; how much that was."""
    held = sum(PaymentPart.objects.filter(payment=payment, **aim).values_list("amount", flat=True), NOUGHT)
    if held:
        write_part(payment, -held, by, reason=reason, **aim)
    if "invoice_id" in aim:
        taken = list(PromptTaken.objects.filter(payment=payment, **aim))
        gross, vat = sum((one.gross for one in taken), NOUGHT), sum((one.vat for one in taken), NOUGHT)
        if gross:
            on = max(one.on for one in taken)
            PromptTaken.objects.create(payment=payment, gross=-gross, vat=-vat, on=on, at=timezone.now(), by=by, **aim)
    return held


def _free(payment: Payment, reason: str, by) -> None:
    """Counter every part of a payment, or of a refund the parts it was paid out of."""
    if payment.kind == CAME_IN:
        for invoice, charge in set(payment.parts.filter(refund=None).values_list("invoice", "late_charge")):
            _counter(payment, reason, by, **({"invoice_id": invoice} if invoice else {"late_charge_id": charge}))
        return
    for source in {part.payment for part in payment.out_of.select_related("payment")}:
        _counter(source, reason, by, refund_id=payment.pk)


def _release_bank_line(payment: Payment) -> None:
    line = getattr(payment, "bank_line", None)
    if line is not None:
        line.payment = None
        line.save(update_fields=["payment"])


def _tell(payment: Payment, what: str, by) -> None:
    record(subject="payment", subject_id=payment.pk, what=what, by=by)
    record(subject="shop", subject_id=payment.shop_id, what=what, by=by)
