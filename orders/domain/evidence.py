"""Putting down the evidence that exported goods have left the country."""

from datetime import date

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from inventory.domain.records import record
from inventory.words import day
from orders.models import ExportEvidence, Invoice

LONGEST = 200


@transaction.atomic
def put_down_evidence(*, invoice: Invoice, received_on: date, note: str, by) -> ExportEvidence:
    """The evidence of an export's invoice. Put down again it is mended, and both stand on record.

    ValidationError (by field) where the invoice is no export, or the day is yet to come or before the goods left.
    """
    row = ExportEvidence.objects.select_for_update().filter(invoice=invoice).first()
    if row is None:
        raise ValidationError(f"{invoice} is no export: it needs no evidence.")
    note = note.strip()
    if not note or len(note) > LONGEST:
        raise ValidationError({"note": f"Say what the evidence is, in at most {LONGEST} characters."})
    if received_on > timezone.localdate():
        raise ValidationError({"received_on": "That day has not come yet."})
    if received_on < invoice.tax_point:
        raise ValidationError({"received_on": f"The goods left on {day(invoice.tax_point)}: that day or later."})
    if (row.received_on, row.note) != (received_on, note):
        row.received_on, row.note = received_on, note
        row.save(update_fields=["received_on", "note"])
        what = f"Evidence of export of {invoice} received on {day(received_on)}: {note}"
        record(subject="invoice", subject_id=invoice.pk, what=what, by=by)
    return row
