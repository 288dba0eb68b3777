"""Who gets a candle's pairs, and whether anybody gets them later than before. No Django.

Supply goes to the demands of a candle in their order (the day, then the rank), as it is ready. A new demand takes its
place among them by its own day; it is let in only where nobody who stood there before comes to be later by it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

STOCK, FLOOR, PLAN, ROOM = "stock", "floor", "plan", "room"


@dataclass(frozen=True)
class Supply:
    """Firsts counted on, and when. `source`: STOCK, FLOOR (hangs already), PLAN (planned) or ROOM (found for this)."""

    ready: date
    hard: datetime
    frame: int
    pairs: int
    source: str


@dataclass(frozen=True)
class Demand:
    """Pairs somebody was promised by `due`. `by`: of an order that goes whole, the day the rest of it is there."""

    pairs: int
    due: date
    label: str = ""
    by: date | None = None


@dataclass(frozen=True)
class Share:
    """What a demand gets: `days` late pair by pair added up, `open` pairs nothing brings, `done` with the last."""

    taken: tuple[tuple[Supply, int], ...]
    open: int
    done: date | None
    days: int


def share_out(supplies: Sequence[Supply], demands: Sequence[Demand], never: date) -> list[Share]:
    """Each demand's share, in their order; supplies are taken as they stand, which is as they are ready.

    Pairs that nothing brings count as brought on the day `never`.
    """
    left = [supply.pairs for supply in supplies]
    at, found = 0, []
    for demand in demands:
        open_, taken, days = demand.pairs, [], 0
        while open_ and at < len(left):
            pairs = min(open_, left[at])
            if pairs:
                taken.append((supplies[at], pairs))
                days += pairs * max(0, (supplies[at].ready - demand.due).days)
                left[at] -= pairs
                open_ -= pairs
            if not left[at]:
                at += 1
        done = taken[-1][0].ready if taken and not open_ else None
        days += open_ * max(0, (never - demand.due).days)
        found.append(Share(tuple(taken), open_, done, days))
    return found


def harmed(demand: Demand, before: Share, after: Share) -> bool:
    """Whether the demand comes to be later than before. What comes later and still by its day is no later."""
    if after.open > before.open:
        return True
    if demand.by is None:
        return after.days > before.days
    return after.done is not None and after.done > max(demand.due, demand.by)


def earliest_share(
    supplies: Sequence[Supply], demands: Sequence[Demand], before: Sequence[Share], pairs: int, never: date
) -> tuple[date, Share] | None:
    """The first day by which `pairs` more can be there without harm to any demand, and what fills them; None if never.

    `before`: what the demands got before anything was changed for the new one.
    """
    if sum(supply.pairs for supply in supplies) < pairs:
        return None
    for day in sorted({supply.ready for supply in supplies}):
        if sum(supply.pairs for supply in supplies if supply.ready <= day) < pairs:
            continue
        place = sum(demand.due <= day for demand in demands)
        new = Demand(pairs, day)
        shares = share_out(supplies, [*demands[:place], new, *demands[place:]], never)
        mine = shares.pop(place)
        if mine.open or mine.done > day:
            continue
        if not any(harmed(*row) for row in zip(demands, before, shares, strict=True)):
            return day, mine
    return None
