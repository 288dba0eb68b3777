"""What has to be bought, how much of it and by when. No Django here: days, and whole grams, millimetres or pieces.

What is known to be needed is taken day by day from what lies there and what is under way. Wax that stands in the vats
cannot be used up, or the candles would no longer be covered: it counts with what is always kept.
"""

from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import accumulate
from typing import TypeVar

from production.wax_drawn import drawn_for

Key = TypeVar("Key", bound=Hashable)

FLOOR, PLAN, LIST, PACKING = "frames on the floor", "the dip plan", "the dip list", "packing"
SOURCES = (FLOOR, PLAN, LIST, PACKING)


@dataclass(frozen=True)
class Need:
    """So much of a material goes on that day; `source` is what asks for it, one of SOURCES."""

    day: date
    amount: int
    source: str


@dataclass(frozen=True)
class Dipped:
    """Grams of one wax and colour (`bath`) that frames take on that day."""

    day: date
    bath: Hashable
    grams: int
    source: str


@dataclass(frozen=True)
class Arrival:
    """So much of a material is under way and expected on that day."""

    day: date
    amount: int


@dataclass(frozen=True)
class Held:
    """What there is of a material. `in_vats` of what is `on_hand` stands molten, `keep` is always to lie there.

    `pack`: one orders whole ones. `lead_days`: calendar days from an order to its delivery, None without a supplier.
    """

    on_hand: int
    in_vats: int
    keep: int
    pack: int
    lead_days: int | None


@dataclass(frozen=True)
class Outlook:
    """`runs_out`: the first day the store is empty though something is asked of it. `order`: what to buy, in whole
    packs, nought where all that is under way will do; `order_by`: the last day to do so, before today where it was
    missed; `arrives`: when it comes if it is ordered today. Both None where nothing is bought or nobody sells it.
    """

    needed: int
    coming: int
    runs_out: date | None
    order: int
    order_by: date | None
    arrives: date | None

    def days_late(self) -> int:
        """Days for which the store is empty even if it is ordered today."""
        if not self.order or self.runs_out is None or self.arrives is None:
            return 0
        return max(0, (self.arrives - self.runs_out).days)


def outlook(held: Held, needs: Iterable[Need], arrivals: Iterable[Arrival], today: date) -> Outlook:
    """How far a material lasts. What was needed, or should have come, before today is counted as of today.

    A delivery counts from the day it is expected. ValueError for a pack that is not above nought.
    """
    if held.pack <= 0:
        raise ValueError(f"a pack is above nought, not {held.pack}")
    taken = _by_day(((need.day, need.amount) for need in needs), today)
    coming = _by_day(((arrival.day, arrival.amount) for arrival in arrivals), today)
    needed, under_way = sum(taken.values()), sum(coming.values())
    usable = held.on_hand - held.in_vats
    # What is under way counts here whenever it comes: what it will cover is not to be bought again.
    lacking = needed + held.keep - usable - under_way
    order = max(0, -(-lacking // held.pack) * held.pack)
    short_on = _first_below(held.keep, usable + under_way, taken, {}, today) if order else None
    buys = short_on is not None and held.lead_days is not None
    return Outlook(
        needed=needed,
        coming=under_way,
        runs_out=_first_below(0, usable, taken, coming, today) if taken else None,
        order=order,
        order_by=short_on - timedelta(days=held.lead_days) if buys else None,
        arrives=today + timedelta(days=held.lead_days) if buys else None,
    )


def _by_day(rows: Iterable[tuple[date, int]], today: date) -> dict[date, int]:
    found: dict[date, int] = {}
    for day, amount in rows:
        found[max(day, today)] = found.get(max(day, today), 0) + amount
    return found


def _first_below(
    least: int, there: int, taken: Mapping[date, int], coming: Mapping[date, int], today: date
) -> date | None:
    """The first day on which less than `least` is left; None where that never comes."""
    for day in sorted({today, *taken, *coming}):
        there += coming.get(day, 0) - taken.get(day, 0)
        if there < least:
            return day
    return None


def wax_and_dye(
    dipped: Iterable[Dipped],
    own: Mapping[Hashable, int],
    blend_of: Callable[[Hashable], Mapping[Key, object]],
    dyes_of: Callable[[Hashable], Mapping[Key, object]],
) -> dict[Key, list[Need]]:
    """By material: what the frames will draw of it, the earliest day first.

    `own`: grams of our own remelt there are of each bath; they go first, as production.wax_drawn has it.
    """
    left, found = dict(own), {}
    for each in sorted(dipped, key=lambda row: row.day):
        there = left.get(each.bath, 0)
        remelt, amounts = drawn_for(each.grams, there, blend_of(each.bath), dyes_of(each.bath))
        left[each.bath] = there - remelt
        for material, amount in amounts.items():
            if amount:
                found.setdefault(material, []).append(Need(each.day, amount, each.source))
    return found


def days_to_hang(
    wants: Sequence[tuple[date, int]], covered: int, per_frame: int, frames: int, ahead: timedelta
) -> list[date]:
    """The day each of `frames` has to be hung for wants (day, pairs) of which the first `covered` pairs are provided.

    Each gives about `per_frame` pairs, to the earliest want that lacks some; it is hung `ahead` of that want's day.
    Frames beyond the last want hang for it, too. Empty without wants.
    """
    if not wants:
        return []
    in_turn = sorted(wants)
    reached = list(accumulate(pairs for _, pairs in in_turn))
    days = []
    for n in range(frames):
        has = covered + n * per_frame
        day = next((day for (day, _), upto in zip(in_turn, reached, strict=True) if upto > has), in_turn[-1][0])
        days.append(day - ahead)
    return days


def weeks_from(today: date, weeks: int) -> list[date]:
    """The Mondays of so many weeks, this one's first."""
    monday = today - timedelta(days=today.weekday())
    return [monday + timedelta(weeks=n) for n in range(weeks)]


def by_week(needs: Iterable[Need], mondays: Sequence[date]) -> list[int]:
    """What is needed in each of the weeks that begin on these Mondays, then what is needed after them.

    What should have been there before the first of them is needed in it.
    """
    sums = [0] * (len(mondays) + 1)
    end = mondays[-1] + timedelta(weeks=1)
    for need in needs:
        week = len(mondays) if need.day >= end else max(0, (need.day - mondays[0]).days // 7)
        sums[week] += need.amount
    return sums
