"""Ordering what a page said is needed: of the usual supplier, and only where nobody else has ordered it since."""

from datetime import timedelta
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Sum
from django.utils import timezone

from inventory.domain.buying import order_material
from inventory.material_words import amount_in_words
from inventory.models import Material, Purchase


@transaction.atomic
def order_needed(*, material: Material, amount: int, under_way: int, submission: UUID, by) -> Purchase:
    """Order `amount` (the material's unit) of its supplier, expected after the supplier's days.

    `under_way` is what the page knew to be coming: where that has changed, ValidationError says by whom, since the
    need was reckoned without it. The same `submission` again is the order it made. ValidationError without a supplier.
    """
    material = Material.objects.select_for_update(of=("self",)).select_related("supplier").get(pk=material.pk)
    if done := Purchase.objects.filter(submission=submission).first():
        return done
    if material.supplier is None:
        raise ValidationError(f"Nobody is named who sells {material}: name a supplier on its page first.")
    coming = Purchase.objects.filter(material=material, state=Purchase.UNDER_WAY)
    if (now := coming.aggregate(n=Sum("amount", default=0))["n"]) != under_way:
        raise ValidationError(
            _changed(material, now - under_way, coming.select_related("made_by").order_by("pk").last())
        )
    return order_material(
        material=material,
        supplier=material.supplier,
        amount=amount,
        due_on=timezone.localdate() + timedelta(days=material.supplier.lead_days),
        submission=submission,
        by=by,
    )


def _changed(material: Material, more: int, last: Purchase | None) -> str:
    amount = amount_in_words(abs(more), material.unit)
    said = f"{last.made_by} ordered {amount} more" if more > 0 and last else f"{amount} came or was called off"
    return f"{material}: {said} since this page was made. Nothing was ordered; look at its row again."
