"""The only place where a material lot's amount changes. Amounts are whole grams, millimetres or pieces.

Lots are locked after everything else (order, line, want, frame, lot, then material lot), each by primary key. What is
drawn comes from the oldest lot first; where the book's stock does not reach, the rest is drawn of no lot: work on the
floor is never stopped by the book, and whoever reads it later is told that nobody knows which lot it was.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.utils import timezone

from inventory.models import Material, MaterialLot, MaterialMovement
from inventory.models.material import ADDING


@dataclass(frozen=True)
class Drawn:
    """An amount of a material out of one lot; `lot` and `movement` are None for what no lot of the book covered."""

    material: Material
    lot: MaterialLot | None
    amount: int
    movement: MaterialMovement | None


def lock_material_lots(materials: Iterable[int]) -> dict[int, list[MaterialLot]]:
    """Lock the lots of these materials that hold something, by key; return them by material, oldest first."""
    rows = MaterialLot.objects.select_for_update().filter(material__in=set(materials), on_hand__gt=0).order_by("pk")
    found: dict[int, list[MaterialLot]] = {}
    for lot in rows:
        found.setdefault(lot.material_id, []).append(lot)
    for lots in found.values():
        lots.sort(key=lambda lot: (lot.came_on, lot.pk))
    return found


def draw_materials(amounts: Mapping[Material, int], *, reference: str, by, at: datetime | None = None) -> list[Drawn]:
    """Draw these amounts, each in its material's unit, oldest lot first; a row a lot. Needs a transaction.

    Nought is drawn of nothing. ValueError for an amount below nought.
    """
    wanted = {material: amount for material, amount in amounts.items() if amount}
    if any(amount < 0 for amount in wanted.values()):
        raise ValueError(f"cannot draw less than nothing: {amounts}")
    lots = lock_material_lots(material.pk for material in wanted)
    drawn = []
    for material, amount in wanted.items():
        left = amount
        for lot in lots.get(material.pk, []):
            part = min(left, lot.on_hand)
            if not part:
                break
            moved = write_material_movement(lot, "drawn", -part, reference=reference, by=by, at=at)
            drawn.append(Drawn(material, lot, part, moved))
            left -= part
        if left:
            drawn.append(Drawn(material, None, left, None))
    return drawn


def write_material_movement(
    lot: MaterialLot,
    kind: str,
    amount: int,
    *,
    by,
    reason: str = "",
    reference: str = "",
    at: datetime | None = None,
    submission: UUID | None = None,
) -> MaterialMovement:
    """A movement of a locked lot and its counter, together. ValueError where more would leave than is there, or where
    the kind goes the other way."""
    if lot.on_hand + amount < 0 or ((kind in ADDING) != (amount > 0) and kind != "recounted"):
        raise ValueError(f"{lot}: {kind} {amount:+d} of {lot.on_hand}")
    lot.on_hand += amount
    lot.save(update_fields=["on_hand"])
    return MaterialMovement.objects.create(
        lot=lot,
        kind=kind,
        amount=amount,
        reason=reason,
        reference=reference,
        submission=submission,
        person=by,
        at=at or timezone.now(),
    )
