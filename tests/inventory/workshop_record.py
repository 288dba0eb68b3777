"""What the record says of the workshop and its set-up."""

from inventory.models import Record


def told() -> list[str]:
    """The sentences about the workshop, the oldest first."""
    return [row.what for row in Record.objects.filter(subject="workshop", subject_id=1).order_by("pk")]
