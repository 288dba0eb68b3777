"""The content of a delivery note, frozen when the boxes are closed. No prices: the note travels with the goods."""

from decimal import Decimal

from django.utils import timezone

from inventory.models import SECONDS
from inventory.words import counted, day
from orders.boxes import kilograms, weigh
from orders.documents.parts import candle_facts, house, in_kg, receiver
from orders.domain.boxing import as_kind, what_lies_in
from orders.models import OrderBags

CARE = (
    "Keep these candles cool, dry, flat and out of the sun. The safety labels belong to them: "
    "please see that they reach whoever burns the candles."
)


def note_content(delivery, *, lines, boxes, order_lines, to_come: dict[int, int]) -> dict:
    """Plain text, numbers, lists and dicts; the number is put in when it is issued.

    `lines`, `boxes`: of the delivery, with their candles. `order_lines`: of the whole order. `to_come`: pairs of each
    order line (by key) that are neither sent nor packed.
    """
    order, today = delivery.order, timezone.localdate()
    workshop, shop = house(), receiver(order)
    packed = [box_facts(box) for box in boxes]
    follows = [
        {"code": line.candle.code, "name": line.candle.name, "pairs": to_come[line.pk]}
        for line in sorted(order_lines, key=lambda line: (line.position, line.pk))
        if to_come[line.pk]
    ]
    return {
        "title": "Delivery note",
        "issued_on": day(today),
        "issued_iso": today.isoformat(),
        "van_day": day(delivery.van_day),
        "workshop": workshop,
        "shop": shop,
        # As the letter's head prints them.
        "addressee": [shop["name"], *shop["address"]],
        "sender": [workshop["name"], *workshop["address"], workshop["telephone"], workshop["email"]],
        "order": str(order.number),
        "placed_on": day(order.placed_on),
        "reference": order.reference,
        "seconds": order.grade == SECONDS,
        "lines": _lines(lines),
        "pairs": sum(line.pairs for line in lines),
        "boxes": packed,
        **_bags(delivery),
        # The sum of the weights printed above it, so that it re-adds by hand.
        "net_kg": _sum(packed, "net_kg"),
        "gross_kg": _sum(packed, "gross_kg"),
        "to_come": follows,
        "to_come_pairs": sum(line["pairs"] for line in follows),
        "care": CARE,
    }


def _bags(delivery) -> dict:
    """Firelighters lie beside the boxes: no box was reckoned for them."""
    row = OrderBags.objects.filter(delivery=delivery).first()
    return {"bags": {"count": row.bags, "words": f"Firelighters, {counted(row.bags, 'bag')}"}} if row else {}


def box_facts(box) -> dict:
    """One box as note and slip name it; weights in kg to 0.01 kg."""
    contents = what_lies_in(box)
    kind, sealed = as_kind(box.kind), box.seconds_box
    # A box of seconds was put on the scales.
    net = Decimal(sealed.weight_g) if sealed else weigh(contents, kind)[0]
    # Each figure is rounded by itself and then added, so that net and empty box make the gross printed.
    gross = kilograms(net) + kilograms(Decimal(kind.tare_g))
    return {
        "number": box.number,
        "kind": kind.name,
        "pairs": sum(pairs for _, pairs in contents),
        "net_kg": in_kg(net),
        "tare_kg": in_kg(Decimal(kind.tare_g)),
        "gross_kg": f"{gross:f}",
        **({"seconds_box": sealed.code} if sealed else {}),
    }


def _lines(lines) -> list[dict]:
    """A row an order line; of a box of seconds a row a candle, whose pairs may stand at two prices on the order."""
    rows: dict[tuple, dict] = {}
    counted = set()
    for line in lines:
        of = line.line
        key = (of.seconds_box_id, of.candle_id) if of.seconds_box_id else (None, of.pk)
        row = rows.setdefault(key, {**candle_facts(of.candle), "pairs": 0, "ordered": 0, "lots": {}})
        if of.pk not in counted:
            counted.add(of.pk)
            row["ordered"] += of.pairs
        row["pairs"] += line.pairs
        lot = row["lots"].setdefault(line.lot.code, {"code": line.lot.code, "pairs": 0, "fault": line.lot.fault})
        lot["pairs"] += line.pairs
    return [{**row, "lots": list(row["lots"].values())} for row in rows.values()]


def _sum(boxes: list[dict], name: str) -> str:
    return f"{sum((Decimal(box[name]) for box in boxes), Decimal('0.00')):f}"
