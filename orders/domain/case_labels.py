"""Numbers for cases: each closed box gets its SSCC once, and no other box ever gets it."""

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max
from django.utils import timezone

from inventory.domain.records import record
from inventory.domain.set_up import WORKSHOP_ID
from inventory.gs1 import NotGs1, sscc
from inventory.models import Workshop
from inventory.words import counted
from orders.domain.boxing import lock_delivery
from orders.models import CaseLabel, Delivery
from orders.models.delivery import LEFT, PACKED


@transaction.atomic
def number_cases(*, delivery: Delivery, by) -> list[CaseLabel]:
    """The labels' numbers of a closed delivery's boxes, in their order; those that have none yet get the next.

    Asked again it is the same numbers. Nothing where the workshop has no company prefix. ValidationError where the
    boxes are not closed, or the prefix's numbers are used up. The workshop's row is the lock of the run of numbers,
    taken last: two deliveries numbered at once wait for each other there.
    """
    delivery, _ = lock_delivery(delivery)
    if delivery.state not in (PACKED, LEFT):
        raise ValidationError("A case is labelled once its box is closed: close the boxes first.")
    workshop = Workshop.objects.select_for_update().filter(pk=WORKSHOP_ID).first()
    if workshop is None or not workshop.gs1_prefix:
        return []
    boxes = list(delivery.boxes.select_related("case_label").order_by("number"))
    bare = [box for box in boxes if not hasattr(box, "case_label")]
    last = CaseLabel.objects.aggregate(last=Max("serial"))["last"]
    first = 0 if last is None else last + 1
    try:
        made = [
            CaseLabel(
                box=box, serial=serial, sscc=sscc(workshop.gs1_prefix, serial), made_at=timezone.now(), made_by=by
            )
            for serial, box in enumerate(bare, start=first)
        ]
    except NotGs1 as refused:
        raise ValidationError(str(refused)) from refused
    CaseLabel.objects.bulk_create(made)
    if made:
        what = f"{counted(len(made), 'case')} numbered: {made[0].sscc}" + (f" to {made[-1].sscc}" if made[1:] else "")
        record(subject="delivery", subject_id=delivery.pk, what=what, by=by)
    return list(CaseLabel.objects.filter(box__delivery=delivery).order_by("box__number"))
