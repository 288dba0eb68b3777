"""Complaints: written down with their lot, followed on record, closed with what was done."""

from datetime import date
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Sum
from django.utils import timezone

from inventory.domain.lots import lock_lots
from inventory.domain.records import record
from inventory.domain.versions import check_version
from inventory.models import Lot
from inventory.words import day, in_pairs
from orders.models import Complaint, DeliveryLine, Shop
from orders.models.delivery import LEFT
from production.domain.found_later import note_found_later, strike_found_later

LONGEST = {"fault": 40, "words": 400, "done": 400, "note": 400}
MOST_NAMED = 4


@transaction.atomic
def note_complaint(
    *, lot: Lot, shop: Shop, fault: str, pairs: int, told_on: date, submission: UUID, by, words: str = ""
) -> Complaint:
    """Write a complaint down; its fault counts in the faults table from now on.

    The same `submission` sent again gives the complaint it made. ValidationError (by field) where the shop was never
    sent so many pairs of that lot, or not yet on that day.
    """
    # The lot's lock also makes the same form, sent twice at once, wait for itself.
    lot = lock_lots([lot.pk])[lot.pk]
    if done := Complaint.objects.filter(submission=submission).first():
        return done
    fault, words = _given(fault=fault), _within(words=words)
    _check(lot, shop, pairs, told_on)
    made = Complaint.objects.create(
        lot=lot, shop=shop, fault=fault, pairs=pairs, told_on=told_on, words=words, made_by=by, at=timezone.now(),
        submission=submission, found=note_found_later(lot=lot, fault=fault, pairs=pairs, day=told_on),
    )  # fmt: skip
    what = f"Complaint: {shop} told on {day(told_on)} of {in_pairs(pairs)} of {lot.code}, {fault}."
    record(subject="complaint", subject_id=made.pk, what=what, by=by)
    record(subject="lot", subject_id=lot.pk, what=what, by=by)
    return made


def _check(lot: Lot, shop: Shop, pairs: int, told_on: date) -> None:
    if told_on > timezone.localdate():
        raise ValidationError({"told_on": "That day has not come yet."})
    sent = DeliveryLine.objects.filter(lot=lot, delivery__state=LEFT).order_by()
    own = sent.filter(delivery__order__shop=shop)
    there = own.filter(delivery__left_on__lte=told_on).aggregate(pairs=Sum("pairs"))["pairs"] or 0
    if not there:
        first = own.order_by("delivery__left_on").values_list("delivery__left_on", flat=True).first()
        if first:
            raise ValidationError(
                {"told_on": f"Their first pairs of {lot.code} left on {day(first)}: that day or later."}
            )
        shops = (
            sent.values_list("delivery__order__shop__name", flat=True)
            .distinct()
            .order_by("delivery__order__shop__name")
        )
        named = ", ".join(shops[:MOST_NAMED])
        others = f" It went to {named}." if named else " None of it has left the house."
        raise ValidationError({"shop": f"{shop.name} was never sent pairs of {lot.code}.{others}"})
    if not 0 < pairs <= there:
        raise ValidationError({"pairs": f"{shop.name} was sent {in_pairs(there)} of {lot.code}: 1 to {there}."})


@transaction.atomic
def follow_complaint(*, complaint: Complaint, version: int, note: str, by) -> Complaint:
    """Put down what happens with an open complaint. The same form sent twice is refused by its version."""
    complaint = _open(complaint, version)
    what = _given(note=note)
    complaint.version += 1
    complaint.save(update_fields=["version"])
    record(subject="complaint", subject_id=complaint.pk, what=what, by=by)
    return complaint


@transaction.atomic
def close_complaint(*, complaint: Complaint, version: int, done: str, ours: bool, by) -> Complaint:
    """Close it with what was done. `ours` off: it was no fault of the candles, and the faults table forgets it."""
    complaint = _open(complaint, version)
    complaint.done = _given(done=done)
    complaint.closed_on, complaint.closed_by = timezone.localdate(), by
    complaint.version += 1
    complaint.save(update_fields=["done", "closed_on", "closed_by", "version"])
    if not ours:
        strike_found_later(complaint.found)
    whose = "" if ours else " No fault of the candles."
    what = f"Closed: {complaint.done}{whose}"
    record(subject="complaint", subject_id=complaint.pk, what=what, by=by)
    record(subject="lot", subject_id=complaint.lot_id, what=f"Complaint of {complaint.shop} closed.{whose}", by=by)
    return complaint


def _open(complaint: Complaint, version: int) -> Complaint:
    """The complaint, locked. ValidationError where it is closed, StaleVersion where somebody changed it."""
    complaint = Complaint.objects.select_for_update(of=("self",)).select_related("shop", "found").get(pk=complaint.pk)
    if complaint.closed_on:
        raise ValidationError(f"It was closed on {day(complaint.closed_on)}: {complaint.done}")
    check_version(complaint, version)
    return complaint


def _given(**text: str) -> str:
    ((field, value),) = text.items()
    if not value.strip():
        raise ValidationError({field: "Say what is wrong with them." if field == "fault" else "Say what was done."})
    return _within(**text)


def _within(**text: str) -> str:
    ((field, value),) = text.items()
    if len(value.strip()) > LONGEST[field]:
        raise ValidationError({field: f"At most {LONGEST[field]} characters."})
    return value.strip()
