"""What the workshop is set up with: its own name and bank, and the short lists every other page chooses from.

The functions know no list in particular; orders uses them for its own lists. Every change is on record under the
workshop, whose page is the one place to look who changed what.
"""

from collections import Counter
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Model, ProtectedError

from inventory.domain.records import record
from inventory.domain.versions import check_seen, check_version
from inventory.models import Workshop

WORKSHOP_ID = 1


@transaction.atomic
def save_workshop(*, values: dict, version: int, by) -> Workshop:
    """Write the workshop's own data; `version` 0 makes the row. StaleVersion where somebody else was quicker."""
    workshop = Workshop.objects.select_for_update().filter(pk=WORKSHOP_ID).first()
    if workshop is None:
        workshop = Workshop(pk=WORKSHOP_ID, version=0)
    check_version(workshop, version)
    before = said(workshop, values)
    for name, value in values.items():
        setattr(workshop, name, value)
    workshop.version += 1
    # With version 1 the row is new, and two first savers meet at its primary key.
    workshop.full_clean()
    workshop.save(force_insert=version == 0)
    what = "Workshop written down" if version == 0 else told_changes("Workshop", before, said(workshop, values))
    if what:
        tell(what, by)
    return workshop


@transaction.atomic
def add_row(*, row: Model, by) -> Model:
    """Put a new row on one of the lists. ValidationError, by field, where the model refuses it."""
    row.full_clean()
    row.save(force_insert=True)
    tell(f"{noun_of(row)} {row} added", by)
    return row


@transaction.atomic
def change_row(*, row: Model, values: dict, seen: str, by) -> Model:
    """Change the fields named in `values`. StaleVersion where they changed since `seen` was taken."""
    row = type(row)._default_manager.select_for_update().get(pk=row.pk)
    check_seen(row, seen, fields=values)
    before, label = said(row, values), f"{noun_of(row)} {row}"
    for name, value in values.items():
        setattr(row, name, value)
    row.full_clean()
    row.save(update_fields=list(values))
    if what := told_changes(label, before, said(row, values)):
        tell(what, by)
    return row


@transaction.atomic
def remove_row(*, row: Model, by) -> None:
    """Take a row off its list. ValidationError says by what it is still used; gone already is no error."""
    row = type(row)._default_manager.select_for_update().filter(pk=row.pk).first()
    if row is None:
        return
    label = f"{noun_of(row)} {row}"
    try:
        row.delete()
    except ProtectedError as used:
        raise ValidationError(f"{label} can't be deleted: {in_use_by(used.protected_objects)}.") from None
    tell(f"{label} deleted", by)


def in_use_by(rows) -> str:
    """What uses it, counted: "it is used by 3 candles and 12 lots"."""
    counts = Counter(type(row) for row in rows)
    named = [
        f"{count:,} {model._meta.verbose_name if count == 1 else model._meta.verbose_name_plural}"
        for model, count in sorted(counts.items(), key=lambda pair: pair[0]._meta.label)
    ]
    return "it is used by " + " and ".join(filter(None, [", ".join(named[:-1]), named[-1]]))


def noun_of(row: Model) -> str:
    noun = row._meta.verbose_name
    return noun[:1].upper() + noun[1:]


def said(row: Model, names) -> dict[str, str]:
    """The fields as a page would say them: label -> value in words."""
    words = {}
    for name in names:
        field = row._meta.get_field(name)
        if field.many_to_many:
            words[str(field.verbose_name)] = ", ".join(map(str, getattr(row, name).all())) or "nothing"
            continue
        value = getattr(row, f"get_{name}_display")() if field.choices else getattr(row, name)
        if isinstance(value, bool):
            value = "yes" if value else "no"
        elif isinstance(value, Decimal):
            # 0.5 as typed and 0.50 as kept are one figure.
            value = f"{value.normalize():f}"
        words[str(field.verbose_name)] = "nothing" if value in (None, "") else str(value)
    return words


def told_changes(label: str, before: dict[str, str], after: dict[str, str]) -> str:
    """ "Shelf A1: note became “by the door”, before nothing"; empty where nothing changed."""
    changes = [
        f"{name} became {_short(after[name])}, before {_short(was)}"
        for name, was in before.items()
        if was != after[name]
    ]
    return f"{label}: {'; '.join(changes)}" if changes else ""


def tell(what: str, by) -> None:
    """Put a change of the set-up on record."""
    record(subject="workshop", subject_id=WORKSHOP_ID, what=what, by=by)


def _short(text: str) -> str:
    text = " / ".join(text.splitlines())
    return text if len(text) <= 60 else text[:59] + "…"
