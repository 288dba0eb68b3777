"""Charging for late payment: reckoned and offered at any time, added only when the owner says so, with a paper."""

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max
from django.utils import timezone

from inventory.domain.records import record
from inventory.words import day
from orders.documents.late_charge import late_charge_content
from orders.domain.papers import digest_of, issue_paper
from orders.domain.payments import checked_reason, lock_ledger, write_part
from orders.domain.statements import parties_of
from orders.late_payment import EXACT, Rate, Stretch, fixed_sum, interest_on, rate_for, stretches
from orders.models import BaseRate, Invoice, LateCharge, LateWaiver
from orders.models.late import POLICIES
from orders.models.paper import LATE_CHARGE
from orders.money import NOUGHT, in_pounds
from orders.queries.debts import invoices_with_open

DAYS_TO_PAY = 14
# The base rate is set eight times a year; one older than that may have been forgotten.
STALE = timedelta(days=190)


@dataclass(frozen=True)
class Offer:
    """What may be charged for one invoice up to a day. Nothing of it is written."""

    invoice: Invoice
    rate: Rate
    stretches: tuple[Stretch, ...]
    fixed: Decimal
    until: date

    def interest(self, policy: str = EXACT) -> Decimal:
        return interest_on(self.stretches, self.rate.percent, policy)

    def amount(self, policy: str = EXACT, *, with_fixed: bool = True) -> Decimal:
        return self.interest(policy) + (self.fixed if with_fixed else NOUGHT)

    @property
    def seen(self) -> str:
        """A digest of the figures: what was looked at is what is charged."""
        facts = [str(self.rate.percent), str(self.fixed), self.until.isoformat()]
        facts += [f"{one.since} {one.until} {one.debt}" for one in self.stretches]
        return digest_of({"offer": facts})[:16]

    @property
    def rate_is_old(self) -> bool:
        return self.rate.reference - self.rate.since > STALE


def late_offer(*, invoice: Invoice, until: date) -> Offer:
    """What the law lets us ask for this invoice until that day. ValidationError, with the reason, where nothing."""
    if invoice.currency != "GBP":
        raise ValidationError(f"{invoice} is in {invoice.currency}; the law's interest and sums are in pounds.")
    if invoice.due_on >= until:
        raise ValidationError(f"{invoice} is not late: it is due on {day(invoice.due_on)}.")
    try:
        rate = rate_for(invoice.due_on, BaseRate.objects.values_list("since", "percent"))
    except ValueError as error:
        raise ValidationError(f"{error} Write it down in Set-up first.") from None
    found = _not_yet_charged(invoice, stretches(_debt(invoice), invoice.due_on, _paid(invoice), until))
    charged = invoice.late_charges.filter(waiver=None, fixed__gt=0).exists()
    first = stretches(_debt(invoice), invoice.due_on, _paid(invoice), until)
    fixed = NOUGHT if charged or not first else fixed_sum(first[0].debt)
    offer = Offer(invoice, rate, tuple(found), fixed, until)
    if not offer.amount():
        raise ValidationError(f"Nothing of {invoice} was late, or it is charged already.")
    return offer


def _debt(invoice: Invoice) -> Decimal:
    """What was owed in all: what was credited, or came off as discount, never was."""
    row = invoices_with_open().get(pk=invoice.pk)
    return row.gross - row.credited - row.prompt


def _paid(invoice: Invoice) -> list[tuple[date, Decimal]]:
    """What was paid when. What bounced is owed again from that day; what was put here by mistake never came."""
    rows = invoice.paid_parts.select_related("payment__taken_back")
    found = []
    for part in rows:
        back = getattr(part.payment, "taken_back", None)
        bounced = part.amount < 0 and back is not None and back.kind == "bounced"
        found.append((back.on if bounced else part.payment.on, part.amount))
    return found


def _not_yet_charged(invoice: Invoice, found: list[Stretch]) -> list[Stretch]:
    last = invoice.late_charges.filter(waiver=None).aggregate(last=Max("until"))["last"]
    if last is None:
        return found
    return [
        Stretch(max(one.since, last + timedelta(days=1)), one.until, one.debt) for one in found if one.until > last
    ]


@transaction.atomic
def add_late_charge(*, invoice: Invoice, until: date, policy: str, with_fixed: bool, seen: str, by) -> LateCharge:
    """Charge it: a paper of its own, owed in fourteen days, without VAT. Only the owner may.

    `seen` is Offer.seen of what was looked at; where the figures have changed since, nothing is charged.
    """
    if not by.owner:
        raise ValidationError("Only the owner charges for late payment.")
    shop = lock_ledger(invoice.shop)
    if policy not in dict(POLICIES):
        raise ValidationError({"policy": "Choose how the interest is rounded."})
    offer = late_offer(invoice=invoice, until=until)
    if seen != offer.seen:
        raise ValidationError("The figures changed while you looked at them. Look again, then charge.")
    interest, fixed = offer.interest(policy), offer.fixed if with_fixed else NOUGHT
    if not interest + fixed:
        raise ValidationError("That comes to nothing.")
    today = timezone.localdate()
    due_on = today + timedelta(days=DAYS_TO_PAY)
    content = late_charge_content(
        offer, policy=policy, fixed=fixed, parties=parties_of(shop), issued_on=today, due_on=due_on
    )
    paper = issue_paper(kind=LATE_CHARGE, shop=shop, content=content, issued_on=today, by=by, series=LATE_CHARGE)
    charge = LateCharge.objects.create(
        paper=paper, shop=shop, invoice=invoice, percent=offer.rate.percent, since=_since(offer), until=until,
        policy=policy, interest=interest, fixed=fixed, amount=interest + fixed, due_on=due_on,
    )  # fmt: skip
    what = f"{paper.number} charged: {in_pounds(charge.amount)} for {invoice} paid late"
    record(subject="shop", subject_id=shop.pk, what=what, by=by)
    record(subject="invoice", subject_id=invoice.pk, what=what, by=by)
    return charge


def _since(offer: Offer) -> date:
    return offer.stretches[0].since if offer.stretches else offer.invoice.due_on + timedelta(days=1)


@transaction.atomic
def waive_late_charge(*, charge: LateCharge, reason: str, by) -> LateWaiver:
    """Let a late charge go; what was paid on it goes back on account. Only the owner may; twice is once."""
    if not by.owner:
        raise ValidationError("Only the owner lets a late charge go.")
    lock_ledger(charge.shop)
    reason = checked_reason(reason)
    held: dict = {}
    for part in charge.paid_parts.select_related("payment"):
        held[part.payment] = held.get(part.payment, NOUGHT) + part.amount
    for payment, amount in held.items():
        if amount:
            write_part(payment, -amount, by, reason=reason, late_charge_id=charge.pk)
    waiver, new = LateWaiver.objects.get_or_create(
        charge=charge, defaults={"reason": reason, "at": timezone.now(), "by": by}
    )
    if new:
        record(subject="shop", subject_id=charge.shop_id, what=f"{charge} let go: {reason}", by=by)
    return waiver
