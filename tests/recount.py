"""Counts promises, stock and wants again from their rows, and compares. What every race must leave true."""

from inventory.models import Lot, Movement
from orders.audit.promises import held_for_boxes
from orders.domain.holding import open_pairs
from orders.models import OrderLine, SetAside
from production.models import Want


def recount() -> None:
    """AssertionError with the row that does not add up."""
    promises = list(SetAside.objects.all())
    for lot in Lot.objects.all():
        moved = sum(Movement.objects.filter(lot=lot).values_list("pairs", flat=True))
        promised = sum(promise.pairs for promise in promises if promise.lot_id == lot.pk)
        promised += sum(held_for_boxes().filter(lot=lot).values_list("pairs", flat=True))
        assert lot.on_hand == moved, f"{lot}: {lot.on_hand} on hand, movements say {moved}"
        assert lot.set_aside == promised, f"{lot}: {lot.set_aside} set aside, promises say {promised}"
        assert 0 <= lot.set_aside <= lot.on_hand, f"{lot}: {lot.set_aside} of {lot.on_hand} set aside"
    expected = {}
    for line in OrderLine.objects.select_related("order", "want"):
        promised = sum(promise.pairs for promise in promises if promise.line_id == line.pk)
        assert line.set_aside == promised, f"line {line.pk}: {line.set_aside} set aside, promises say {promised}"
        assert line.sent + line.set_aside <= line.pairs, f"line {line.pk} holds more than it orders"
        asks = line.order.status == "confirmed" and line.order.grade == "firsts" and open_pairs(line)
        if line.want_id or asks:
            expected[line.want_id] = asks
    assert {want.pk: want.pairs for want in Want.objects.all()} == expected, "wants are not the open pairs"
    assert all(0 <= promise.packed <= promise.pairs for promise in promises)
