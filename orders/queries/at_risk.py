"""Promises at risk: orders whose promised day the book no longer sees kept, and what would save each."""

from dataclasses import dataclass
from datetime import date

from django.db.models import F

from inventory.models import FIRSTS
from inventory.queries.stockroom import free_by_candle
from inventory.words import in_pairs
from orders.domain.holding import open_pairs
from orders.models import OrderLine, PromisedDate
from orders.models.order import CONFIRMED
from orders.queries.order_page import takeable
from orders.standing import short_day
from production.dip_plan.save import Way
from production.queries.dip_plan import planned_by_want
from production.queries.on_floor import promises_by_want
from production.queries.ready_by import outlooks
from production.queries.saving import Held, ways_for

MOST_HELD = 2


@dataclass(frozen=True)
class AtRisk:
    """`ready` None: nobody can say when. `why`: what of it comes too late, or is nowhere yet."""

    promise: PromisedDate
    ready: date | None
    why: str

    @property
    def order(self):
        return self.promise.order


def at_risk(today: date) -> list[AtRisk]:
    """Confirmed orders with a promised day that lines of them will miss, the first promised first."""
    rows = PromisedDate.objects.filter(order__status=CONFIRMED).select_related("order__shop").order_by("pk")
    latest = {row.order_id: row for row in rows}
    missing = F("sent") + F("set_aside")
    lines = list(OrderLine.objects.filter(order__in=latest, pairs__gt=missing).select_related("order", "candle"))
    if not lines:
        return []
    lines.sort(key=lambda line: (latest[line.order_id].day, line.order_id, line.position))
    look = _Look(lines)
    found: dict[int, list[tuple[date | None, str]]] = {}
    for line in lines:
        if late := look.late(line, latest[line.order_id].day, today):
            found.setdefault(line.order_id, []).append(late)
    return [_risk(latest[key], rows) for key, rows in found.items()]


def _risk(promise: PromisedDate, rows: list[tuple[date | None, str]]) -> AtRisk:
    days = [day for day, _ in rows]
    return AtRisk(promise, None if None in days else max(days), "; ".join(why for _, why in rows[:3]))


class _Look:
    """Where the missing pairs of all these lines are, and when they can be there."""

    def __init__(self, lines: list[OrderLine]):
        keys = [line.want_id for line in lines if line.want_id]
        self.hung, self.planned = promises_by_want(keys), planned_by_want(keys)
        self.ready = outlooks({p.frame_id: p.frame for rows in self.hung.values() for p in rows}.values())
        self.free = free_by_candle({line.candle_id for line in lines if line.order.grade == FIRSTS}, FIRSTS)

    def late(self, line: OrderLine, by: date, today: date) -> tuple[date | None, str] | None:
        """When the last of the line can be there and why so late; None where it is in time."""
        hung, planned = self.hung.get(line.want_id, []), self.planned.get(line.want_id, [])
        rest = open_pairs(line) - sum(p.pairs for p in hung) - sum(pairs for _, pairs in planned)
        taken = min(max(0, rest), max(0, self.free.get(line.candle_id, 0)))
        self.free[line.candle_id] = self.free.get(line.candle_id, 0) - taken
        code, rest = line.candle.code, rest - taken
        if rest > 0:
            return None, f"{in_pairs(rest)} of {code} neither lie, hang nor are planned"
        days = [(self.ready[p.frame_id].ready, f"frame {p.frame}") for p in hung]
        days += [(max(frame.ready_on, today), str(frame)) for frame, _ in planned]
        unknown = next((what for day, what in days if day is None), None)
        if unknown:
            return None, f"{code}: nobody can tell when {unknown} is ready"
        last, what = max(days, default=(today, ""))
        if last <= by:
            return None
        return last, f"{code} comes with {what}, {short_day(last)}" if what else f"{code} lies free, not set aside"


def ways_to_save_order(promise: PromisedDate) -> list[Way] | None:
    """What would bring the order by its promised day, the cheapest first; None where no plan stands."""
    lines = list(promise.order.lines.filter(want__isnull=False).select_related("candle", "order__shop", "want"))
    held = []
    for line in lines:
        for row in takeable(line).exclude(line__order__ship_by__lte=promise.order.ship_by)[:MOST_HELD]:
            giver, pairs = row.line.order, min(row.pairs - row.packed, open_pairs(line))
            words = f"{in_pairs(pairs)} of {line.candle.code} taken over from order {giver.number}, {giver.shop}"
            held.append(Held(line.want_id, pairs, giver.ship_by, str(giver.shop), row.line.want_id, words))
    return ways_for([line.want_id for line in lines], promise.day, held)
