"""Today's first sentence. No Django: orders due in, words out."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from orders.standing import Standing, waits_on_floor, waits_on_plan


@dataclass(frozen=True)
class Leaving:
    """A confirmed order with its day and how it stands."""

    ship_by: date
    standing: Standing


def today_sentence(orders: Iterable[Leaving], today: date) -> str:
    """ "4 orders should leave today: 2 are packed, 1 waits on the floor, 1 is short by 24 pairs." """
    due = [order.standing for order in orders if order.ship_by <= today]
    if not due:
        return "Nothing has to leave today."
    late = sum(order.ship_by < today for order in orders)
    parts = [*_parts(due)]
    first = "1 order should leave today" if len(due) == 1 else f"{len(due)} orders should leave today"
    if late:
        first += f", {late} of them overdue" if len(due) > 1 else " and is overdue"
    return f"{first}: {', '.join(parts)}."


def _parts(due: list[Standing]) -> Iterable[str]:
    stopped = [order for order in due if order.on_stop]
    going = [order for order in due if not order.on_stop]
    packed = sum(bool(order.packed_for) and not order.being_packed for order in going)
    packing = sum(order.being_packed for order in going)
    ready = sum(order.ready for order in going)
    unpacked = [order.cover for order in going if not order.packed_for and not order.being_packed]
    hanging = sum(waits_on_floor(cover) for cover in unpacked)
    planned = sum(waits_on_plan(cover) for cover in unpacked)
    short = [cover.open for cover in unpacked if cover.open]
    for count, one, many in (
        (packed, "is packed", "are packed"),
        (packing, "is on the bench", "are on the bench"),
        (ready, "is ready to pack", "are ready to pack"),
        (hanging, "waits on the floor", "wait on the floor"),
        (planned, "waits on the dip plan", "wait on the dip plan"),
    ):
        if count:
            yield f"{count} {one if count == 1 else many}"
    if short:
        missing = f"{sum(short):,} pair{'' if sum(short) == 1 else 's'}"
        yield f"{len(short)} {'is' if len(short) == 1 else 'are'} short by {missing}"
    if stopped:
        yield f"{len(stopped)} {'waits' if len(stopped) == 1 else 'wait'} on a stop"
