"""Rows as lines of JSON and back, the same from SQLite and PostgreSQL."""

import base64
import hashlib
import json
from collections.abc import Iterable, Iterator
from datetime import date, datetime, time
from decimal import Decimal
from uuid import UUID

from django.db import models

HOUSE = ("config", "inventory", "production", "orders")
FORMAT = 1
CHUNK = 2000


class DamagedCopy(Exception):
    """Why a file is no whole copy, in words."""


def tables(apps) -> list[type[models.Model]]:
    """The house's models with the tables between them, by label."""
    found = [model for model in apps.get_models(include_auto_created=True) if model._meta.app_label in HOUSE]
    return sorted((model for model in found if model._meta.managed and not model._meta.proxy), key=label_of)


def label_of(model) -> str:
    return model._meta.label_lower


def lines_of(model) -> Iterator[bytes]:
    """Every row of the table, by key, as a line of JSON with its end."""
    names = [field.attname for field in model._meta.concrete_fields]
    rows = model._base_manager.order_by("pk").values_list(*names)
    for row in rows.iterator(chunk_size=CHUNK):
        said = dict(zip(names, map(_said, row), strict=True))
        # Sorted throughout: PostgreSQL keeps no order of keys within a JSON column.
        yield json.dumps(said, ensure_ascii=False, sort_keys=True).encode() + b"\n"


def _said(value):
    if isinstance(value, datetime | date | time):
        return value.isoformat()
    if isinstance(value, Decimal | UUID):
        return str(value)
    if isinstance(value, bytes | memoryview):
        return base64.b64encode(value).decode()
    return value


def rows_from(model, lines: Iterable[bytes]) -> Iterator[models.Model]:
    """Unsaved rows of the model. DamagedCopy where a line does not fit it."""
    fields = {field.attname: field for field in model._meta.concrete_fields}
    for number, line in enumerate(lines, start=1):
        try:
            values = json.loads(line)
            yield model(**{name: _read(fields[name], value) for name, value in values.items()})
        except (ValueError, KeyError, TypeError) as wrong:
            raise DamagedCopy(f"{label_of(model)}, row {number}, cannot be read: {wrong}") from None


def _read(field, value):
    if value is None or isinstance(field, models.JSONField | models.ForeignKey):
        return value
    if isinstance(field, models.BinaryField):
        return base64.b64decode(value)
    return field.to_python(value)


class Digest:
    """Counts and digests lines as they pass."""

    def __init__(self):
        self.rows, self._sum = 0, hashlib.sha256()

    def add(self, line: bytes) -> bytes:
        self.rows += 1
        self._sum.update(line)
        return line

    @property
    def hex(self) -> str:
        return self._sum.hexdigest()
