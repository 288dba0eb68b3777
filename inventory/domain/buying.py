"""Materials ordered of suppliers: ordered, come as a lot, or called off. Amounts in the material's own unit, GBP."""

from datetime import date, timedelta
from decimal import Decimal
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from inventory.domain.material_lots import check_amount, check_price, take_in
from inventory.domain.records import record
from inventory.domain.versions import check_version
from inventory.material_words import amount_in_words
from inventory.models import Material, MaterialLot, Purchase, Supplier
from inventory.words import day

FARTHEST = timedelta(days=730)


@transaction.atomic
def order_material(
    *,
    material: Material,
    supplier: Supplier,
    amount: int,
    due_on: date,
    price: Decimal | None = None,
    note: str = "",
    submission: UUID,
    by,
) -> Purchase:
    """Write down that `amount` was ordered of `supplier`, expected on `due_on`; `price` agreed for all of it, or None.

    The same `submission` sent again is the order it made the first time. ValidationError by field: our own remelt, a
    material or supplier no longer in use, less than the smallest order of its usual supplier, a day gone by.
    """
    # Two of the same form at once meet here; the second finds what the first wrote.
    material = Material.objects.select_for_update().get(pk=material.pk)
    if done := Purchase.objects.filter(submission=submission).first():
        return done
    _check(material, supplier, amount, due_on)
    check_price(price)
    if len(note.strip()) > 200:
        raise ValidationError({"note": "At most 200 characters."})
    purchase = Purchase.objects.create(
        material=material, supplier=supplier, amount=amount, price=price, ordered_on=timezone.localdate(),
        due_on=due_on, note=note.strip(), submission=submission, made_by=by,
    )  # fmt: skip
    what = f"{amount_in_words(amount, material.unit)} ordered of {supplier}, expected on {day(due_on)}."
    record(subject="material", subject_id=material.pk, what=what, by=by)
    return purchase


def _check(material: Material, supplier: Supplier, amount: int, due_on: date) -> None:
    if material.remelt_of_id:
        raise ValidationError({"material": f"{material} is our own wax come back: nobody sells it."})
    for field, row in (("material", material), ("supplier", supplier)):
        if not row.active:
            raise ValidationError({field: f"{row} is no longer in use."})
    check_amount(material, amount)
    if supplier.pk == material.supplier_id and amount < material.pack:
        least = amount_in_words(material.pack, material.unit)
        raise ValidationError({"amount": f"{supplier} sells {least} at least: Set-up, Materials says so."})
    today = timezone.localdate()
    if not today <= due_on <= today + FARTHEST:
        raise ValidationError({"due_on": "From today on, and at most two years ahead."})


@transaction.atomic
def purchase_came(
    *,
    purchase: Purchase,
    version: int,
    amount: int,
    came_on: date,
    price: Decimal,
    by,
    supplier_lot: str = "",
    note: str = "",
    submission: UUID | None = None,
) -> MaterialLot:
    """What was ordered has come: a lot of the amount that came. Came already by the same `submission`: that lot.

    ValidationError by field; where it came or was called off already; StaleVersion where it was changed since.
    """
    purchase = _locked(purchase)
    if (
        purchase.state == Purchase.CAME
        and submission
        and purchase.lot.movements.filter(submission=submission).exists()
    ):
        return purchase.lot
    _refuse_over(purchase)
    check_version(purchase, version)
    lot = take_in(
        material=purchase.material, supplier=purchase.supplier, amount=amount, came_on=came_on, price=price, by=by,
        supplier_lot=supplier_lot, note=note, purchase=purchase, submission=submission,
    )  # fmt: skip
    unit, short = purchase.material.unit, purchase.amount - amount
    differs = f", {amount_in_words(abs(short), unit)} {'less' if short > 0 else 'more'} than ordered" if short else ""
    what = f"{amount_in_words(amount, unit)} came of {purchase.supplier} as {lot}{differs}."
    record(subject="material", subject_id=purchase.material_id, what=what, by=by)
    return lot


@transaction.atomic
def call_off(*, purchase: Purchase, version: int, reason: str, by) -> Purchase:
    """The order will not come. Called off twice is once. ValidationError without a reason, or where it came."""
    purchase = _locked(purchase)
    if purchase.state == Purchase.CALLED_OFF:
        return purchase
    _refuse_over(purchase)
    check_version(purchase, version)
    reason = reason.strip()
    if not reason:
        raise ValidationError({"reason": "Say why."})
    if len(reason) > 200:
        raise ValidationError({"reason": "At most 200 characters."})
    purchase.state = Purchase.CALLED_OFF
    purchase.version += 1
    purchase.save(update_fields=["state", "version"])
    amount = amount_in_words(purchase.amount, purchase.material.unit)
    what = f"Order of {amount} of {purchase.supplier} called off: {reason}"
    record(subject="material", subject_id=purchase.material_id, what=what, by=by)
    return purchase


def _locked(purchase: Purchase) -> Purchase:
    # Not with its lot: who waited for the lock would see the row of before joined to the one of now.
    rows = Purchase.objects.select_for_update(of=("self",)).select_related("material", "supplier")
    return rows.get(pk=purchase.pk)


def _refuse_over(purchase: Purchase) -> None:
    if purchase.state == Purchase.CAME:
        raise ValidationError(f"It came already, as {purchase.lot}.")
    if purchase.state == Purchase.CALLED_OFF:
        raise ValidationError("This order was called off.")
