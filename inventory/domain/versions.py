"""Two people with the same page open: the second is told, and loses nothing."""

from django.core.exceptions import ValidationError


class StaleVersion(ValidationError):
    """The row changed after the form was made. Views show both versions and keep what was typed."""


def check_version(row, version: int) -> None:
    """Raise StaleVersion unless the (locked) row still has the version the form was made from."""
    if row.version != version:
        raise StaleVersion(
            "Somebody changed this while you were typing. What they wrote stands beside yours; look, then save again."
        )
