"""What closed boxes draw from stock: each its own box and label, oldest lot first; unpacked, both lie there again.

Called inside the transaction that closes or unpacks the boxes, as the last thing in it: material lots are locked
after everything else.
"""

from collections.abc import Iterable

from inventory.domain.materials import draw_materials, lock_material_lots, write_material_movement
from inventory.models import Material, MaterialLot
from orders.models import Box, BoxUse, Delivery


def draw_boxes(boxes: Iterable[Box], *, by) -> list[BoxUse]:
    """One box and one label for each of the boxes, which have their slips, of what their kind names."""
    named = {box.pk: [key for key in (box.kind.material_id, box.kind.label_id) if key] for box in boxes}
    materials = Material.objects.in_bulk({key for keys in named.values() for key in keys})
    if not materials:
        return []
    # In one go, in the order of their keys: what is drawn box by box below is locked already.
    lock_material_lots(materials)
    uses = []
    for box in boxes:
        amounts = {materials[key]: 1 for key in named[box.pk]}
        for drawn in draw_materials(amounts, reference=box.slip.number, by=by):
            uses.append(
                BoxUse.objects.create(
                    box=box, material=drawn.material, lot=drawn.lot, amount=drawn.amount, movement=drawn.movement
                )
            )
    return uses


def put_boxes_back(delivery: Delivery, *, by) -> None:
    """What the boxes of a delivery drew goes back into the lots it came from."""
    uses = list(BoxUse.objects.filter(box__delivery=delivery).select_related("box__slip").order_by("pk"))
    drawn = {use.lot_id for use in uses if use.lot_id}
    lots = {lot.pk: lot for lot in MaterialLot.objects.select_for_update().filter(pk__in=drawn).order_by("pk")}
    for use in uses:
        if use.lot_id:
            write_material_movement(
                lots[use.lot_id], "put back", use.amount, reason="Unpacked.", reference=use.box.slip.number, by=by
            )
    BoxUse.objects.filter(pk__in=[use.pk for use in uses]).delete()
