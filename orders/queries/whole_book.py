"""Everything the book knows as plain tables: for a spreadsheet, another program, or the drawer."""

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from django.apps import apps
from django.contrib.auth import get_user_model
from django.db.models import BinaryField, CharField, Count, Field, JSONField, Model, Value
from django.utils import timezone
from django.utils.text import capfirst

APPS = ("inventory", "production", "orders")
# What would let somebody in: hashes of passwords and PINs, and what a shop's link is made from.
SECRETS = {"password", "pin", "nonce", "token_sha256"}
AT_A_TIME = 2_000
SENTENCE = re.compile(r"(?<!e\.g)\. ")


@dataclass(frozen=True)
class BookTable:
    """One table. `name` is its sheet's and file's name, `what` the first sentence of what the code says it is."""

    model: type[Model]
    name: str
    what: str
    rows: int = 0

    @property
    def fields(self) -> list[Field]:
        """Its columns, without files (a backup holds those) and without what would let somebody in."""
        fields = self.model._meta.concrete_fields
        return [field for field in fields if not isinstance(field, BinaryField) and field.name not in SECRETS]

    def rows_of(self) -> Iterator[list]:
        """The headings, then every row as it stands now, the oldest first. Never more in memory than some thousand."""
        yield [field.attname for field in self.fields]
        names = [field.attname for field in self.fields]
        json_at = {at for at, field in enumerate(self.fields) if isinstance(field, JSONField)}
        found = self.model._base_manager.order_by("pk").values_list(*names)
        for row in found.iterator(chunk_size=AT_A_TIME):
            yield [_plain(value, as_json=at in json_at) for at, value in enumerate(row)]


def book_tables(*, counted: bool = False) -> list[BookTable]:
    """Every table of the three apps, and the people; with the number of rows, if asked, by one query."""
    models = [model for app in APPS for model in apps.get_app_config(app).get_models()]
    models.append(get_user_model())
    rows = _rows(models) if counted else {}
    return [
        BookTable(model, capfirst(str(model._meta.verbose_name)), _what(model), rows.get(model._meta.label, 0))
        for model in models
    ]


def contents(tables: list[BookTable]) -> list[list]:
    """The first sheet: what each table is. A column that ends in _id holds the id of a row of another table."""
    return [["Table", "What it is"], *([table.name, table.what] for table in tables)]


def _rows(models: list[type[Model]]) -> dict[str, int]:
    asked = [
        model._base_manager.order_by()
        .annotate(table=Value(model._meta.label, CharField()))
        .values_list("table")
        .annotate(rows=Count("pk"))
        for model in models
    ]
    return dict(asked[0].union(*asked[1:], all=True))


def _what(model: type[Model]) -> str:
    """The first sentence of its docstring; Django's own ("Person(id, name)") says nothing."""
    text = " ".join((model.__doc__ or "").split())
    return "" if text.startswith(f"{model.__name__}(") else SENTENCE.split(text, maxsplit=1)[0].rstrip(".")


def _plain(value, *, as_json: bool):
    """What a cell can hold: numbers, days and text; moments in the workshop's time."""
    if as_json:
        return json.dumps(value, ensure_ascii=False)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return timezone.localtime(value).replace(tzinfo=None)
    return value if value is None or isinstance(value, int | float) or hasattr(value, "as_tuple") else _text(value)


def _text(value):
    return value if hasattr(value, "isoformat") else str(value)
