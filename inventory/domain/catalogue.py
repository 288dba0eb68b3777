"""What the workshop makes: candles added and changed. Only the owner comes here."""

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from inventory.domain.records import record
from inventory.domain.versions import check_version
from inventory.models import Candle

FIELDS = (
    "code",
    "name",
    "length_mm",
    "base_mm",
    "tip_mm",
    "wax",
    "colour",
    "wick",
    "wick_of",
    "pairs_per_box",
    "gtin",
    "needs_holder",
    "burn_g_hour",
    "trade_price",
    "vat_class",
    "shelf",
    "active",
)


@transaction.atomic
def add_candle(*, fields: dict, by) -> Candle:
    """A new candle from its fields (named in FIELDS). ValidationError by field where one does not fit."""
    candle = Candle()
    _assign(candle, fields)
    _save(candle)
    record(subject="candle", subject_id=candle.pk, what=f"Put into the catalogue as {candle.code}.", by=by)
    return candle


@transaction.atomic
def change_candle(*, candle: Candle, version: int, fields: dict, by) -> Candle:
    """Change a candle. StaleVersion where it was changed since the form was made; ValidationError by field.

    The record tells each field's old and new value. A form sent back unchanged changes nothing.
    """
    candle = Candle.objects.select_for_update(of=("self",)).get(pk=candle.pk)
    check_version(candle, version)
    before = {name: getattr(candle, name) for name in FIELDS}
    _assign(candle, fields)
    candle.full_clean()
    changes = [
        f"{Candle._meta.get_field(name).verbose_name} {_shown(was)} to {_shown(getattr(candle, name))}"
        for name, was in before.items()
        if getattr(candle, name) != was
    ]
    if changes:
        candle.version += 1
        _save(candle)
        record(subject="candle", subject_id=candle.pk, what="Changed: " + "; ".join(changes) + ".", by=by)
    return candle


def _assign(candle: Candle, fields: dict) -> None:
    unknown = set(fields) - set(FIELDS)
    if unknown:
        raise ValidationError(f"A candle has no {', '.join(sorted(unknown))}.")
    for name, value in fields.items():
        setattr(candle, name, value)


def _save(candle: Candle) -> None:
    candle.full_clean()
    try:
        with transaction.atomic():
            candle.save()
    except IntegrityError:
        # Another owner took the code, name or GTIN a moment ago: now it is seen, and named at its field.
        candle.full_clean()
        raise


def _shown(value) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return "none" if value in (None, "") else str(value)
