"""A year of the demo's stock, as plain data (no Django): frames become lots, orders take from the oldest.

Whatever an order needs and the shelf does not hold has been dipped a few days before it left, a frame at a time.
"""

import random
from collections.abc import Hashable, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

# What spoils a pair here, and how often among the spoiled; words of inventory.faults.
FAULTS = {
    "drip tail": 5,
    "bent": 3,
    "under gauge": 3,
    "ripples": 4,
    "colour off": 2,
    "stuck together": 2,
    "bubbles": 1,
}
USUAL_SPOILED, REMELTED = 0.04, 0.006  # of pairs hung; invented
# A spell in which the turns were too short: days before today, and how often pairs came out rippled.
SPELL, SPELL_SPOILED, SPELL_FAULT = range(96, 118), 0.14, "ripples"


@dataclass
class Batch:
    """A lot in the making. `moves`: (day, kind, pairs signed, tag), the tag saying whose delivery line it is."""

    candle: int
    grade: str
    made_on: date
    fault: str = ""
    left: int = 0
    moves: list[tuple[date, str, int, object]] = field(default_factory=list)
    hung: "Hung | None" = None

    def move(self, day: date, kind: str, pairs: int, tag=None) -> None:
        self.left += pairs
        self.moves.append((day, kind, pairs, tag))


@dataclass
class Hung:
    """One frame of the past: what hung on it, and the lots it was counted off into."""

    candle: int
    day: date  # its last dip
    shade: Hashable  # frames of one shade and day are of one dip run
    pairs: int
    firsts: Batch
    seconds: list[Batch]
    remelt: int

    @property
    def graded_on(self) -> date:
        """The next working day: it hardens overnight."""
        return self.day + timedelta(days=3 if self.day.weekday() == 4 else 1)


class Floor:
    """Makes batches on demand. `frame_pairs[candle]`: pairs a frame carries; `shades[candle]`: its wax and colour."""

    def __init__(self, rng: random.Random, frame_pairs: Sequence[int], shades: Sequence[Hashable], today: date):
        self.rng, self.today = rng, today
        self.frame_pairs, self.shades = frame_pairs, shades
        self.batches: list[Batch] = []
        self.hung: list[Hung] = []
        self.shelf: dict[int, list[Batch]] = {candle: [] for candle in range(len(frame_pairs))}

    @property
    def seconds(self) -> list[Batch]:
        return [batch for batch in self.batches if batch.grade == "seconds"]

    def dip(self, candle: int, day: date) -> Batch:
        """One frame: mostly firsts, a few seconds, now and then a pair to remelt."""
        pairs = self.frame_pairs[candle]
        firsts = Batch(candle, "firsts", day)
        spoiled = self._spoil(candle, day, pairs)
        remelt = min(pairs - 1 - sum(spoiled.values()), sum(self.rng.random() < REMELTED for _ in range(pairs)))
        seconds = [Batch(candle, "seconds", day, fault) for fault in spoiled]
        frame = Hung(candle, day, self.shades[candle], pairs, firsts, seconds, remelt)
        firsts.move(frame.graded_on, "made", pairs - sum(spoiled.values()) - remelt)
        for batch in seconds:
            batch.move(frame.graded_on, "made", spoiled[batch.fault])
        for batch in (firsts, *seconds):
            batch.hung = frame
            self.batches.append(batch)
        self.shelf[candle].append(firsts)
        self.hung.append(frame)
        return firsts

    def take(self, candle: int, pairs: int, day: date, tag) -> list[tuple[Batch, int]]:
        """Take pairs for a delivery on `day`, oldest lot first, dipping what is missing; returns (batch, pairs)."""
        taken = []
        while pairs:
            ready = [b for b in self.shelf[candle] if b.left and b.hung.graded_on < day]
            batch = ready[0] if ready else self.dip(candle, workday_before(day, 4 + self.rng.randrange(5)))
            part = min(pairs, batch.left)
            batch.move(day, "sent", -part, tag)
            taken.append((batch, part))
            pairs -= part
            if not batch.left:
                self.shelf[candle].remove(batch)
        return taken

    def clear_old_seconds(self, today: date, keep: timedelta = timedelta(days=60)) -> None:
        """Seconds nobody bought in time go back to the vat."""
        for batch in self.seconds:
            if batch.left and today - batch.made_on > keep:
                batch.move(min(today, batch.made_on + keep), "remelted", -batch.left)

    def _spoil(self, candle: int, day: date, pairs: int) -> dict[str, int]:
        """Seconds by fault. Most frames of a bad day share their fault."""
        in_spell = (self.today - day).days in SPELL
        rate = SPELL_SPOILED if in_spell else USUAL_SPOILED * (0.6 + 0.2 * (candle % 5))
        spoiled = min(pairs // 2, sum(self.rng.random() < rate for _ in range(pairs)))
        if not spoiled:
            return {}
        main = SPELL_FAULT if in_spell else self.rng.choices([*FAULTS], [*FAULTS.values()])[0]
        other = self.rng.choices([*FAULTS], [*FAULTS.values()])[0]
        aside = self.rng.randrange(1, spoiled) if spoiled > 3 and other != main else 0
        return {main: spoiled - aside, **({other: aside} if aside else {})}


def workday_before(day: date, days: int) -> date:
    """The working day `days` calendar days before, moved back off a weekend."""
    earlier = day - timedelta(days=days)
    return earlier - timedelta(days=max(0, earlier.weekday() - 4))
