"""What the tests of the set-up send, and what the record says of it."""

from inventory.models import Record

BOX = {
    "name": "Long box",
    "length_mm": "420",
    "width_mm": "300",
    "height_mm": "200",
    "tare_g": "300",
    "limit_g": "15000",
    "active": "on",
}


def told() -> list[str]:
    """The record of the workshop, the oldest sentence first."""
    return [row.what for row in Record.objects.filter(subject="workshop", subject_id=1).order_by("pk")]
