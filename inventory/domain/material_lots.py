"""Lots of materials: taken in as they come, and put right by hand. Amounts in the material's own unit.

Locks: purchase, material, then material lots.
"""

from datetime import date, timedelta
from decimal import Decimal
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from inventory.domain.materials import write_material_movement
from inventory.domain.records import record
from inventory.material_words import BOUGHT_IN, amount_in_words
from inventory.models import Material, MaterialLot, MaterialMovement, Purchase, Supplier

MOST_BOUGHT = 100_000  # kg, m or pieces in one lot or order: above it is a slip of the finger
MOST_PRICE = Decimal(1_000_000)
OLDEST = timedelta(days=3650)
ADJUSTING = ("recounted", "wasted", "sent back", "put back")
MOST_TRIES = 50  # each sees at least one more lot that somebody else has just taken in


@transaction.atomic
def take_in(
    *,
    material: Material,
    amount: int,
    came_on: date,
    by,
    kind: str = "came",
    supplier: Supplier | None = None,
    supplier_lot: str = "",
    price: Decimal = Decimal(0),
    note: str = "",
    purchase: Purchase | None = None,
    submission: UUID | None = None,
) -> MaterialLot:
    """A new lot of a material: `kind` "came" (bought) or "remelted" (our own wax come back). `price` of all, GBP.

    With a `purchase` (locked by the caller) it is what was ordered that came. The same `submission` sent again gives
    the lot it made the first time. ValidationError by field.
    """
    material = Material.objects.select_for_update().get(pk=material.pk)
    if submission and (done := _done_before(submission)):
        return done.lot
    if (kind == "remelted") != (material.remelt_of_id is not None):
        raise ValidationError({"material": "Our own remelt is weighed in, everything else is bought."})
    check_amount(material, amount)
    check_price(price)
    _check_day(came_on)
    lot = MaterialLot(
        material=material, supplier=supplier, supplier_lot=supplier_lot.strip(), came_on=came_on, amount=amount,
        price=price, note=note.strip(),
    )  # fmt: skip
    _save_new(lot)
    write_material_movement(lot, kind, amount, by=by, submission=submission)
    if purchase:
        _came(purchase, lot)
    what = f"{amount_in_words(amount, material.unit)} of {material} {kind}" + (f" of {supplier}." if supplier else ".")
    record(subject="material lot", subject_id=lot.pk, what=what, by=by)
    return lot


def check_amount(material: Material, amount: int, field: str = "amount") -> None:
    """ValidationError at the field for an amount that nobody buys or keeps at once."""
    most = MOST_BOUGHT * BOUGHT_IN[material.unit][1]
    if isinstance(amount, bool) or not isinstance(amount, int) or not 0 < amount <= most:
        raise ValidationError({field: f"More than nothing, and at most {amount_in_words(most, material.unit)}."})


def check_price(price: Decimal | None) -> None:
    if price is not None and not (Decimal(price).is_finite() and 0 <= price <= MOST_PRICE):
        raise ValidationError({"price": f"Between £0 and £{MOST_PRICE:,}."})


def _check_day(came_on: date) -> None:
    today = timezone.localdate()
    if not today - OLDEST <= came_on <= today:
        late = "That day has not come yet."
        raise ValidationError({"came_on": late if came_on > today else "Longer ago than ten years."})


def _came(purchase: Purchase, lot: MaterialLot) -> None:
    purchase.state, purchase.lot = Purchase.CAME, lot
    purchase.version += 1
    purchase.save(update_fields=["state", "lot", "version"])


def _save_new(lot: MaterialLot) -> None:
    """Save it under the next free code of its day: "M26-1129-01"."""
    stem = f"M{lot.came_on:%y-%m%d}-"
    for _ in range(MOST_TRIES):
        taken = MaterialLot.objects.filter(code__startswith=stem).values_list("code", flat=True)
        numbers = [int(code.removeprefix(stem)) for code in taken if code.removeprefix(stem).isdecimal()]
        lot.code = f"{stem}{max(numbers, default=0) + 1:02d}"
        lot.full_clean(exclude=["on_hand"], validate_unique=False)
        try:
            with transaction.atomic():
                lot.save(force_insert=True)
            return
        except IntegrityError:
            if not MaterialLot.objects.filter(code=lot.code).exists():
                raise
    raise ValidationError("Many lots are being taken in at this moment; please send it again.")


def _done_before(submission: UUID) -> MaterialMovement | None:
    return MaterialMovement.objects.select_related("lot").filter(submission=submission).first()


@transaction.atomic
def adjust_material_lot(
    *,
    lot: MaterialLot,
    kind: str,
    amount: int,
    reason: str,
    by,
    seen: int | None = None,
    submission: UUID | None = None,
) -> MaterialMovement:
    """Put a lot right by hand. `amount` is never below nought: of "recounted" it is what lies there now, of "wasted",
    "sent back" and "put back" what went or came back. `seen` is what the book said when it was counted: a recount is
    refused where the book has moved on since. The same `submission` sent again moves nothing.
    """
    lot = MaterialLot.objects.select_for_update(of=("self",)).select_related("material").get(pk=lot.pk)
    if submission and (done := _done_before(submission)):
        return done
    if kind not in ADJUSTING:
        raise ValidationError({"kind": f"Choose one of: {', '.join(ADJUSTING)}."})
    reason = reason.strip()
    if not reason:
        raise ValidationError({"reason": "Say why."})
    if len(reason) > 200:
        raise ValidationError({"reason": "At most 200 characters."})
    moved = _moved(lot, kind, amount, seen)
    movement = write_material_movement(lot, kind, moved, reason=reason, submission=submission, by=by)
    unit = lot.material.unit
    what = f"{kind.capitalize()}: {'+' if moved > 0 else '-'}{amount_in_words(abs(moved), unit)}. {reason}"
    record(subject="material lot", subject_id=lot.pk, what=what, by=by)
    return movement


def _moved(lot: MaterialLot, kind: str, amount: int, seen: int | None) -> int:
    """The signed amount that the lot changes by."""
    there = amount_in_words(lot.on_hand, lot.material.unit)
    if kind == "recounted":
        if seen is not None and seen != lot.on_hand:
            raise ValidationError(
                {"amount": f"Some of it moved since you opened this page: the book now says {there}."}
            )
        if amount:
            check_amount(lot.material, amount)
        if amount == lot.on_hand:
            raise ValidationError({"amount": f"The book says {there} too: nothing to put right."})
        return amount - lot.on_hand
    check_amount(lot.material, amount)
    if kind == "put back":
        check_amount(lot.material, lot.on_hand + amount)
        return amount
    if amount > lot.on_hand:
        raise ValidationError({"amount": f"The lot holds {there}: no more can go."})
    return -amount


@transaction.atomic
def price_lot(*, lot: MaterialLot, price: Decimal, by) -> MaterialLot:
    """What all of a lot cost, GBP without VAT: the supplier's invoice often comes after the goods."""
    lot = MaterialLot.objects.select_for_update(of=("self",)).select_related("material").get(pk=lot.pk)
    if lot.material.remelt_of_id:
        raise ValidationError({"price": "Our own wax come back costs nothing: it was paid for when it came first."})
    check_price(price)
    if lot.price != price:
        what = f"Price of all of it £{price:,.2f}, before £{lot.price:,.2f}."
        lot.price = price
        lot.save(update_fields=["price"])
        record(subject="material lot", subject_id=lot.pk, what=what, by=by)
    return lot
