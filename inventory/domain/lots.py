"""The only place where a lot's pairs change. Lock first (lock_lots), then count, then write.

A movement and the counter it changes are written together; the database refuses what would break
0 <= set aside <= on hand, so a slip here cannot reach the shelf.
"""

from collections.abc import Iterable

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from inventory.models import Lot, Movement

MOST_PAIRS = 1_000_000  # in one movement; above it is a slip of the finger


def lock_lots(ids: Iterable[int]) -> dict[int, Lot]:
    """Lock the lots, in the order of their keys as everywhere, and return them by id. Needs a transaction."""
    return {lot.pk: lot for lot in Lot.objects.select_for_update().filter(pk__in=set(ids)).order_by("pk")}


def hold_pairs(lot: Lot, pairs: int) -> None:
    """Promise `pairs` of a locked lot. ValidationError where fewer are free."""
    if not 0 < pairs <= lot.free:
        raise ValidationError(f"Only {lot.free} pairs of {lot.code} are free, not {pairs}.")
    lot.set_aside += pairs
    lot.save(update_fields=["set_aside"])


def free_pairs(lot: Lot, pairs: int) -> None:
    """Take back the promise of `pairs` of a locked lot."""
    if not 0 < pairs <= lot.set_aside:
        raise ValidationError(f"Only {lot.set_aside} pairs of {lot.code} are set aside, not {pairs}.")
    lot.set_aside -= pairs
    lot.save(update_fields=["set_aside"])


def send_pairs(lot: Lot, pairs: int, *, reference: str, by) -> Movement:
    """Held pairs of a locked lot leave the house: promise and stock go down together."""
    if not 0 < pairs <= lot.set_aside:
        raise ValidationError(f"Only {lot.set_aside} pairs of {lot.code} are set aside, not {pairs}.")
    lot.set_aside -= pairs
    return _write(lot, kind="sent", pairs=-pairs, reason="", reference=reference, by=by)


@transaction.atomic
def move_pairs(*, lot: Lot, kind: str, pairs: int, reason: str, by, reference: str = "") -> Movement:
    """Book a movement of `pairs` (signed: below nought leaves) on a lot. Pairs set aside cannot leave this way."""
    lot = lock_lots([lot.pk])[lot.pk]
    if not 0 < abs(pairs) <= MOST_PAIRS:
        raise ValidationError({"pairs": f"Between 1 and {MOST_PAIRS:,} pairs."})
    if lot.on_hand + pairs < lot.set_aside:
        raise ValidationError(
            {"pairs": f"{lot.code} has {lot.on_hand} pairs, {lot.set_aside} set aside: at most {lot.free} can go."}
        )
    if lot.on_hand + pairs > MOST_PAIRS:
        raise ValidationError({"pairs": f"A lot holds at most {MOST_PAIRS:,} pairs."})
    return _write(lot, kind=kind, pairs=pairs, reason=reason, reference=reference, by=by)


def _write(lot: Lot, *, kind: str, pairs: int, reason: str, reference: str, by) -> Movement:
    lot.on_hand += pairs
    lot.save(update_fields=["on_hand", "set_aside"])
    return Movement.objects.create(
        lot=lot, kind=kind, pairs=pairs, reason=reason, reference=reference, person=by, at=timezone.now()
    )
