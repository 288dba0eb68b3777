"""What the packing bench says first. No Django: figures in, sentences out."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

from inventory.words import counted, in_pairs


@dataclass(frozen=True)
class Going:
    """An order with pairs set aside and not packed: its van day, those pairs, and whether it can be packed now."""

    van_day: date
    pairs: int
    can_go: bool


def weekday_and_day(when: date, today: date) -> str:
    return "today" if when == today else f"{when:%A} {when.day} {when:%B}"


def bench_sentence(orders: Collection[Going], today: date) -> str:
    """ "4 orders can be packed for Thursday 26 November, 312 pairs; 2 more for later vans; 1 cannot go yet." """
    can_go = [order for order in orders if order.can_go]
    stuck = len(orders) - len(can_go)
    waits = counted(stuck, "order cannot go yet", "orders cannot go yet")
    if not can_go:
        return f"Nothing can be packed: {waits}." if stuck else "Nothing waits to be packed."
    van = min(order.van_day for order in can_go)
    now = [order for order in can_go if order.van_day == van]
    pairs = in_pairs(sum(order.pairs for order in now))
    parts = [f"{counted(len(now), 'order')} can be packed for {weekday_and_day(van, today)}, {pairs}"]
    if later := len(can_go) - len(now):
        parts.append(f"{later:,} more for later vans")
    if stuck:
        parts.append(waits)
    return "; ".join(parts) + "."


def delivery_sentence(delivery, *, pairs: int, boxes: str, gross_kg: str, today: date) -> str:
    """How a delivery stands. `boxes` in words, with how far they are from the least possible while being packed."""
    order, note = delivery.order, delivery.note
    if delivery.state == "packing":
        return f"Order {order.number} for {order.shop.name}: {in_pairs(pairs)} in {boxes}."
    if delivery.state == "packed":
        van = weekday_and_day(delivery.van_day, today)
        return f"{note.number} for {order.shop.name} is packed and waits for the van {van}: {boxes}, {gross_kg} kg."
    if delivery.state == "left":
        left = weekday_and_day(delivery.left_on, today)
        return f"{note.number} for {order.shop.name} left {left}: {in_pairs(pairs)} in {boxes}, {gross_kg} kg."
    if note:
        return f"{note.number} for {order.shop.name} is cancelled: everything was put back."
    return f"Order {order.number} for {order.shop.name} was unpacked before its boxes were closed."
