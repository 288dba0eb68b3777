"""Puts hostile text into every column of the book that can hold it, behind the backs of forms and triggers alike."""

from types import SimpleNamespace

from django.apps import apps
from django.core.exceptions import ValidationError
from django.db import IntegrityError, connection, models, transaction

from inventory.triggers import present_triggers, unguard

HOUSE = ("config", "inventory", "production", "orders")
# Broken out of text, of an attribute in either quotes, or rendered a second time, it shows as an element, an attribute
# or nothing. Longest first: a column takes the first that fits.
MARKUP = ("""'"><zq onzq=1>&amp;{{zq}}{%zq%}""", """'"><zq onzq=1>""", "<zq>")
FORMULA = ("=cmd|'/c calc'!A1", "=1+1")
# The house writes these itself and reads them again as keys, digests, codes or states; nobody types them.
NOT_TYPED = {
    "inventory.Record.subject", "inventory.SheetMapping.kind", "inventory.SheetMapping.column",
    "inventory.SheetFile.kind", "orders.KeptFile.media_type", "orders.Letter.key", "orders.Letter.kind",
    "orders.Series.name", "orders.Series.prefix", "orders.Paper.number", "orders.SecondsBox.code",
    "orders.BankFile.content", "production.PlanSearch.worker",
    "config.Person.password", "config.Person.pin", "orders.ShopLink.nonce",
}  # fmt: skip
DIGEST = 64


def typed_columns() -> list[models.Field]:
    """Text of the house that somebody may type: no choices, no digests, and nothing whose own rule refuses markup."""
    found = []
    for model in apps.get_models():
        if model._meta.app_label in HOUSE:
            found += [field for field in model._meta.concrete_fields if _is_typed(field)]
    return found


def _is_typed(field: models.Field) -> bool:
    if not isinstance(field, models.CharField | models.TextField) or field.choices:
        return False
    if field.max_length == DIGEST or f"{field.model._meta.label}.{field.name}" in NOT_TYPED:
        return False
    try:
        field.run_validators(_fitting(MARKUP, field) or "<")
    except ValidationError:
        return False
    return True


def _fitting(texts: tuple[str, ...], field: models.Field, serial: str = "") -> str:
    """The longest that the column holds, with the serial at its end; "" where none fits."""
    most = (field.max_length or 1000) - len(serial)
    return next((text + serial for text in texts if len(text) <= most), "")


def mark(texts: tuple[str, ...]) -> set[str]:
    """Write one of the texts into every row of every typed column; the columns it could not be written to, because
    they are too short or a constraint refuses it.
    """
    guarded = {name.removesuffix("_no_update") for name in present_triggers(connection) if name.endswith("_no_update")}
    unguard(SimpleNamespace(connection=connection), *guarded)
    left = set()
    for field in typed_columns():
        for key in field.model._base_manager.values_list("pk", flat=True):
            text = _fitting(texts, field, str(key) if len(str(key)) < 4 else "")
            if not text or not _written(field, key, text):
                left.add(f"{field.model._meta.label}.{field.name}")
    return left


def _written(field: models.Field, key: int, text: str) -> bool:
    try:
        with transaction.atomic():
            field.model._base_manager.filter(pk=key).update(**{field.name: text})
    except IntegrityError:
        return False
    return True
