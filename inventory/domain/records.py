"""Who did what, when."""

from django.utils import timezone

from inventory.models import Record

LONGEST = 400  # signs of a sentence


def record(*, subject: str, subject_id: int, what: str, by) -> Record:
    """Put one sentence on record, e.g. subject "order", 17. Belongs inside the transaction of what it tells of."""
    return Record.objects.create(
        subject=subject, subject_id=subject_id, what=what[:LONGEST], person=by, at=timezone.now()
    )
