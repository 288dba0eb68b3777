"""Closing a period: nothing is dated into it any more. Opening it again is the owner's, with the reason on record."""

from datetime import date, timedelta

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from inventory.domain.records import record
from inventory.words import day
from orders.models import PeriodClose, Series

GUARD = "invoice"  # the series whose row whoever dates something into the books, or closes them, holds


def closed_until() -> date | None:
    """The last day that is closed; None where none is."""
    latest = PeriodClose.objects.first()
    return latest.until if latest else None


def refuse_closed(on: date, field: str | None = None) -> None:
    """ValidationError (at `field`) for a day in a closed period. Needs a transaction: who closes waits for its end."""
    Series.objects.select_for_update().get(name=GUARD)
    until = closed_until()
    if until and on <= until:
        said = f"The books are closed until {day(until)}: nothing is dated before {day(until + timedelta(days=1))}."
        raise ValidationError({field: said} if field else said)


@transaction.atomic
def close_period(*, until: date, by) -> PeriodClose:
    """Close the books up to and including that day. Closed that far already: nothing happens."""
    Series.objects.select_for_update().get(name=GUARD)
    if until >= timezone.localdate():
        raise ValidationError({"until": "A day that is over: yesterday at the latest."})
    present = PeriodClose.objects.first()
    if present and present.until and until <= present.until:
        if until == present.until:
            return present
        raise ValidationError({"until": f"The books are closed until {day(present.until)} already."})
    return _write(until, "", f"The books are closed until {day(until)}.", by)


@transaction.atomic
def open_period(*, until: date | None, reason: str, by) -> PeriodClose:
    """Open the books again from the day after `until` (None: altogether). ValidationError without a reason."""
    Series.objects.select_for_update().get(name=GUARD)
    reason, present = reason.strip(), closed_until()
    if not reason or len(reason) > 200:
        raise ValidationError({"reason": "Say why, in at most 200 characters."})
    if present is None:
        raise ValidationError("No period is closed.")
    if until and until >= present:
        raise ValidationError({"until": f"Before {day(present)}, up to which they are closed."})
    said = f"closed until {day(until)} only" if until else "open altogether"
    return _write(until, reason, f"The books are {said} again: {reason}", by)


def _write(until: date | None, reason: str, what: str, by) -> PeriodClose:
    row = PeriodClose.objects.create(until=until, reason=reason, at=timezone.now(), by=by)
    record(subject="books", subject_id=1, what=what, by=by)
    return row
