"""Who did what, when."""

from django.utils import timezone

from inventory.models import Record


def record(*, subject: str, subject_id: int, what: str, by) -> Record:
    """Put one sentence on record, e.g. subject "order", 17. Belongs inside the transaction of what it tells of."""
    return Record.objects.create(subject=subject, subject_id=subject_id, what=what[:400], person=by, at=timezone.now())
