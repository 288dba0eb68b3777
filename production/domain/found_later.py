"""Faults that come to light once pairs have left: told by somebody above, counted with the faults of grading."""

from datetime import date

from inventory.models import Lot
from production.models import FoundLater


def note_found_later(*, lot: Lot, fault: str, pairs: int, day: date) -> FoundLater:
    """Pairs of a lot in which a fault was found on that day. Needs a transaction of whoever tells of it."""
    return FoundLater.objects.create(lot=lot, fault=fault, pairs=pairs, day=day)


def strike_found_later(found: FoundLater) -> None:
    """It was no fault of the candles: it counts no more."""
    found.counts = False
    found.save(update_fields=["counts"])
