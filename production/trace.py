"""Which frames hold a lot of wax, which may hold traces of it, and what went into wax that was melted down again.

No Django here. Lots, frames, vats and tubs are keys; moments are anything that can be compared.

Wax mixes in a vat: what was drawn for one frame is left on every frame dipped there afterwards, until the vat is
changed over to another wax or colour. What is remelted of a frame lies in the tub of its wax and colour until that tub
is weighed in; then it is a lot of wax itself, and is drawn again. The tub counts as emptied whenever it is weighed in.
Dye goes the way of its wax. Wick does neither: it is lifted out before the wax is used again.
"""

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

VAT, REMELT, UNKNOWN = "vat", "remelt", "unknown"

Moment = Any
Tub = Hashable


@dataclass(frozen=True)
class Draw:
    """Material of a lot that was drawn for a frame. Its wax was in `vat` from `began` on; None: in no vat of the
    book."""

    lot: int
    frame: int
    vat: int | None = None
    began: Moment = None


@dataclass(frozen=True)
class Dip:
    """A frame hung over a vat between two moments; `ended` is None while its run goes on."""

    frame: int
    vat: int
    began: Moment
    ended: Moment | None


@dataclass(frozen=True)
class Scrap:
    """Wax of a frame that went into the tub of its wax and colour."""

    frame: int
    tub: Tub
    at: Moment


@dataclass(frozen=True)
class WeighIn:
    """A tub that was emptied and became a lot of wax."""

    lot: int
    tub: Tub
    at: Moment


@dataclass(frozen=True)
class Floor:
    """What the book knows of the time in question. `changes`: when each vat was changed over, in order."""

    draws: Sequence[Draw]
    dips: Sequence[Dip] = ()
    scraps: Sequence[Scrap] = ()
    weigh_ins: Sequence[WeighIn] = ()
    changes: Mapping[int, Sequence[Moment]] = field(default_factory=dict)


@dataclass(frozen=True)
class Reached:
    """Frames that drew the lot, and those that may hold traces of it, with VAT or REMELT as the way it took."""

    held: frozenset[int]
    traces: Mapping[int, str]


def reach(lot: int, floor: Floor) -> Reached:
    """Where a lot of wax or dye went: directly, through the vats it was in, and through remelt, however often."""
    return _Search(floor).run(lot)


class _Search:
    def __init__(self, floor: Floor):
        self.changes = floor.changes
        self.draws: dict[int, list[Draw]] = defaultdict(list)
        for draw in floor.draws:
            self.draws[draw.lot].append(draw)
        self.hung: dict[tuple, list[Dip]] = defaultdict(list)
        for dip in floor.dips:
            for fill in self._fills(dip):
                self.hung[fill].append(dip)
        self.tubs = Tubs(floor.weigh_ins)
        self.scraps: dict[int, list[Scrap]] = defaultdict(list)
        for scrap in floor.scraps:
            self.scraps[scrap.frame].append(scrap)
        self.traces: dict[int, str] = {}
        # The filling of a vat (between two change-overs) and since when the lot is in it.
        self.since: dict[tuple, Moment] = {}

    def _fills(self, dip: Dip) -> Iterable[tuple]:
        changes = self.changes.get(dip.vat, ())
        last = bisect_right(changes, dip.ended) if dip.ended is not None else len(changes)
        return ((dip.vat, place) for place in range(bisect_right(changes, dip.began), last + 1))

    def run(self, lot: int) -> Reached:
        self.held = frozenset(draw.frame for draw in self.draws[lot])
        lots, waiting, first = {lot}, [lot], True
        while waiting:
            frames = self._spread(waiting.pop())
            for frame in (*self.held, *frames) if first else frames:
                for scrap in self.scraps[frame]:
                    into = self.tubs.after(scrap)
                    if into is not None and into not in lots:
                        lots.add(into)
                        waiting.append(into)
            first = False
        return Reached(self.held, self.traces)

    def _spread(self, lot: int) -> list[int]:
        """The frames that had not been reached: those that drew the lot, and those that hung in its vats later."""
        new = [draw.frame for draw in self.draws[lot] if self._mark(draw.frame, REMELT)]
        for draw in sorted((draw for draw in self.draws[lot] if draw.vat is not None), key=lambda draw: draw.began):
            fill = (draw.vat, bisect_right(self.changes.get(draw.vat, ()), draw.began))
            if fill in self.since and self.since[fill] <= draw.began:
                continue
            self.since[fill] = draw.began
            later = (dip for dip in self.hung[fill] if dip.ended is None or dip.ended > draw.began)
            new += [dip.frame for dip in later if self._mark(dip.frame, VAT)]
        return new

    def _mark(self, frame: int, way: str) -> bool:
        if frame in self.held or frame in self.traces:
            return False
        self.traces[frame] = way
        return True


class Tubs:
    """When each tub was weighed in, and as what."""

    def __init__(self, weigh_ins: Iterable[WeighIn]):
        self.of: dict[Tub, list[WeighIn]] = defaultdict(list)
        for weigh_in in sorted(weigh_ins, key=lambda weigh_in: weigh_in.at):
            self.of[weigh_in.tub].append(weigh_in)

    def after(self, scrap: Scrap) -> int | None:
        """The lot this scrap became; None while it lies in the tub."""
        weigh_ins = self.of.get(scrap.tub, [])
        place = bisect_left(weigh_ins, scrap.at, key=lambda weigh_in: weigh_in.at)
        return weigh_ins[place].lot if place < len(weigh_ins) else None


def origins(lots: Iterable[int], floor: Floor) -> set[int]:
    """Every lot whose wax or dye may be in these lots of remelt, through as many meltings as there were. A lot is not
    its own origin; what is no remelt has none."""
    tubs = Tubs(floor.weigh_ins)
    scrapped: dict[int, set[int]] = defaultdict(set)
    for scrap in floor.scraps:
        into = tubs.after(scrap)
        if into is not None:
            scrapped[into].add(scrap.frame)
    drawn: dict[int, set[int]] = defaultdict(set)
    for draw in floor.draws:
        drawn[draw.frame].add(draw.lot)
    found: set[int] = set()
    waiting = list(lots)
    while waiting:
        for frame in scrapped[waiting.pop()]:
            new = drawn[frame] - found
            found |= new
            waiting += new
    return found
