"""Where the wax went. No Django here: grams, mm, g/cm3, aware times.

Over a time: wax in (drawn from lots, wasted, missing when it was recounted) = candles + pairs for remelt + wick ends +
loss. What is drawn is reckoned from the candles' shape, so a loss shows only where somebody recounts the store; at a
vat it shows between two levels that were read, since a level knows what has really left.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from production.wax_use import Bath

READ, FILLED, TOP_UP = "read", "filled", "top-up"


@dataclass(frozen=True)
class Balance:
    """Grams of wax over a time. `drawn` with what no lot of the book covered; `recounted` above nought was found."""

    drawn: int
    wasted: int
    recounted: int
    candles: int
    remelt: int
    ends: int

    @property
    def wax_in(self) -> int:
        """What left the store."""
        return self.drawn + self.wasted - self.recounted

    @property
    def loss(self) -> int:
        """What is in nothing; below nought where more came out than was drawn."""
        return self.wax_in - self.candles - self.remelt - self.ends

    @property
    def share(self) -> float:
        """Loss as a part of the wax in; 0 where none went in."""
        return self.loss / self.wax_in if self.wax_in else 0.0


@dataclass(frozen=True)
class Tub:
    """What lies for remelting, in grams, of one wax and colour: reckoned since somebody last looked how much it was.

    `begun`: what lay there then, 0 where nobody ever looked. `graded` and `seconds` went in since, `weighed` was
    melted and weighed back into stock.
    """

    begun: int = 0
    graded: int = 0
    seconds: int = 0
    weighed: int = 0

    @property
    def left(self) -> int:
        """Below nought where more was weighed than ever went in."""
        return self.begun + self.graded + self.seconds - self.weighed


@dataclass(frozen=True)
class At:
    """Something that happened at a vat. READ: its level (mm below the rim) was measured; FILLED: it was filled anew to
    that level; TOP_UP: `grams` of wax went in.
    """

    at: datetime
    kind: str
    level_mm: float = 0.0
    grams: float = 0.0


@dataclass(frozen=True)
class Take:
    """Wax that went out of a vat on candles, in grams, at that moment."""

    at: datetime
    grams: float


@dataclass(frozen=True)
class Stretch:
    """From one level to the next that was read, without a change-over between. Grams."""

    begins: datetime
    ends: datetime
    topped_up: float
    left: float
    taken: float

    @property
    def loss(self) -> float:
        """What left the vat and hangs on no candle; below nought where a top-up was not written down."""
        return self.left - self.taken


def grams_in(level_mm: float, bath: Bath) -> float:
    """Molten wax in a vat whose level stands so many mm below the rim; none below its bottom."""
    return max(0.0, float(bath.depth_mm) - float(level_mm)) * float(bath.area_mm2) * float(bath.liquid_density) / 1000


def stretches(events: Iterable[At], takes: Iterable[Take], bath: Bath) -> list[Stretch]:
    """What is known of a vat between levels, in the order of time.

    Left the vat = what was in it + top-ups - what is in it. `bath`: its measures and the wax it held throughout.
    """
    takes, found, begun, topped = sorted(takes, key=lambda take: take.at), [], None, 0.0
    for event in sorted(events, key=lambda event: event.at):
        if event.kind == TOP_UP:
            topped += event.grams
            continue
        if begun is not None and event.kind == READ:
            left = grams_in(begun.level_mm, bath) + topped - grams_in(event.level_mm, bath)
            taken = sum(take.grams for take in takes if begun.at < take.at <= event.at)
            found.append(Stretch(begun.at, event.at, topped, left, taken))
        begun, topped = event, 0.0
    return found


def taken_between(grams: float, start_mm: float, base_mm: float, in_all: int, dips: tuple[int, int]) -> float:
    """Grams that dips number `dips[0]` + 1 to `dips[1]` of `in_all` put on candles that take `grams` over all dips.

    By the rings, D^2 after less D^2 before, with the base growing evenly from `start_mm` to `base_mm` (TRADE P9).
    ValueError for a base that is not thicker than the start, or no dips at all.
    """
    if in_all <= 0 or not 0 < start_mm < base_mm:
        raise ValueError(f"not a candle dipped: {start_mm} to {base_mm} mm in {in_all} dips")
    growth = (base_mm - start_mm) / in_all

    def square(n: int) -> float:
        return (start_mm + growth * min(n, in_all)) ** 2

    return grams * (square(dips[1]) - square(dips[0])) / (square(in_all) - square(0))


def in_all(rows: Sequence[Stretch]) -> Stretch | None:
    """Stretches of one vat as one; None of none."""
    if not rows:
        return None
    return Stretch(
        rows[0].begins,
        rows[-1].ends,
        sum(row.topped_up for row in rows),
        sum(row.left for row in rows),
        sum(row.taken for row in rows),
    )
