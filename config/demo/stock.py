"""A year of the demo's stock, as plain data (no Django): frames become lots, orders take from the oldest.

Whatever an order needs and the shelf does not hold has been dipped a few days before it left, a frame at a time.
"""

import random
from dataclasses import dataclass, field
from datetime import date, timedelta

FAULTS = ("drip tail", "bent", "under gauge", "ripples", "colour off", "stuck pair", "base not level")


@dataclass
class Batch:
    """A lot in the making. `moves`: (day, kind, pairs signed, tag), the tag saying whose delivery line it is."""

    candle: int
    grade: str
    made_on: date
    dip_run: str
    fault: str = ""
    left: int = 0
    moves: list[tuple[date, str, int, object]] = field(default_factory=list)

    def move(self, day: date, kind: str, pairs: int, tag=None) -> None:
        self.left += pairs
        self.moves.append((day, kind, pairs, tag))


class Floor:
    """Makes batches on demand. `frame_pairs[candle]`: pairs a frame carries; runs are numbered through the year."""

    def __init__(self, rng: random.Random, frame_pairs: list[int], first_run: int = 1400):
        self.rng = rng
        self.frame_pairs = frame_pairs
        self.batches: list[Batch] = []
        self.shelf: dict[int, list[Batch]] = {candle: [] for candle in range(len(frame_pairs))}
        self.seconds: dict[tuple[int, int], Batch] = {}
        self._runs: dict[tuple[int, date], int] = {}
        self._next_run = first_run

    def dip(self, candle: int, day: date) -> Batch:
        """One frame: mostly firsts, a few seconds (kept by candle and month), now and then a pair to remelt."""
        hung = self.frame_pairs[candle]
        faulty = sum(self.rng.random() < 0.045 for _ in range(hung))
        run = self._run(candle, day)
        batch = Batch(candle, "firsts", day, run)
        batch.move(day, "made", hung - faulty)
        self.batches.append(batch)
        self.shelf[candle].append(batch)
        if faulty:
            self._put_second(candle, day, faulty, run)
        return batch

    def take(self, candle: int, pairs: int, day: date, tag) -> list[tuple[Batch, int]]:
        """Take pairs for a delivery on `day`, oldest lot first, dipping what is missing; returns (batch, pairs)."""
        taken = []
        while pairs:
            ready = [batch for batch in self.shelf[candle] if batch.left and batch.made_on <= day - timedelta(days=2)]
            batch = ready[0] if ready else self.dip(candle, workday_before(day, 3 + self.rng.randrange(5)))
            part = min(pairs, batch.left)
            batch.move(day, "sent", -part, tag)
            taken.append((batch, part))
            pairs -= part
            if not batch.left:
                self.shelf[candle].remove(batch)
        return taken

    def clear_old_seconds(self, today: date, keep: timedelta = timedelta(days=60)) -> None:
        """Seconds nobody bought in time go back to the vat."""
        for batch in self.seconds.values():
            if batch.left and today - batch.made_on > keep:
                batch.move(min(today, batch.made_on + keep), "remelted", -batch.left)

    def _put_second(self, candle: int, day: date, pairs: int, run: str) -> None:
        key = (candle, day.year * 12 + day.month)
        batch = self.seconds.get(key)
        if batch is None:
            batch = Batch(candle, "seconds", day, run, self.rng.choice(FAULTS))
            self.seconds[key] = batch
            self.batches.append(batch)
        batch.made_on = min(batch.made_on, day)
        batch.move(day, "made", pairs)

    def _run(self, candle: int, day: date) -> str:
        key = (candle, day)
        if key not in self._runs:
            self._runs[key] = self._next_run
            self._next_run += 1
        return f"R{self._runs[key]}"


def workday_before(day: date, days: int) -> date:
    """The working day `days` calendar days before, moved back off a weekend."""
    earlier = day - timedelta(days=days)
    return earlier - timedelta(days=max(0, earlier.weekday() - 4))
