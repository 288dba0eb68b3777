"""Who did what to one thing."""

from django.db.models import QuerySet

from inventory.models import Record


def records_of(subject: str, subject_id: int) -> QuerySet[Record]:
    """The records of one subject, the newest first."""
    return Record.objects.filter(subject=subject, subject_id=subject_id).select_related("person")
