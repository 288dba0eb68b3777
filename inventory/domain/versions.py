"""Two people with the same page open: the second is told, and loses nothing."""

import hashlib
import json
from collections.abc import Iterable

from django.core.exceptions import ValidationError
from django.core.serializers.json import DjangoJSONEncoder
from django.db.models import Model


class StaleVersion(ValidationError):
    """The row changed after the form was made. Views show both versions and keep what was typed."""


CHANGED = "Somebody changed this while you were typing. What they wrote stands beside yours; look, then save again."


def check_version(row, version: int) -> None:
    """Raise StaleVersion unless the (locked) row still has the version the form was made from."""
    if row.version != version:
        raise StaleVersion(CHANGED)


def fingerprint(row: Model, fields: Iterable[str]) -> str:
    """What a form made from `row` has seen of it, for rows that keep no version: 16 hex digits over the fields."""
    values = [row._meta.get_field(name).value_to_string(row) for name in fields]
    return hashlib.sha256(json.dumps(values, cls=DjangoJSONEncoder).encode()).hexdigest()[:16]


def check_seen(row: Model, seen: str, *, fields: Iterable[str]) -> None:
    """Raise StaleVersion unless the (locked) row's fields are still those whose fingerprint the form carries."""
    if fingerprint(row, fields) != seen:
        raise StaleVersion(CHANGED)
