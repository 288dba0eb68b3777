"""What to dip in idle weeks for the season. No Django: whole pairs, frames, weeks of production.floor_load.

Only what will be sold almost surely is made ahead: the low end of what is still to come, less what lies free or is
under way for the shelf. Candles whose work would overfill a later week come first, then those that are surest. Frames
go to the first idle weeks, and no further than the shelves have room.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

from production.floor_levelling import fits, with_frames
from production.floor_load import FloorWeeks, firsts_of

FULL = 0.85  # of a week: the rest stays free for orders nobody expects. Common practice, no source
READY_AFTER = 11  # days from the week's Monday: dipped by its Friday, hard and on the shelf by the next one


@dataclass(frozen=True)
class Expected:
    """A candle's rest of the season, in pairs of firsts. `free`: lie free; `coming`: hang for the shelf, or are wanted
    for it. `shelf`: where they will lie ("" where nobody said). `relief`: frame-weeks it takes out of full weeks."""

    candle: int
    item: int
    rest: int
    low: int
    free: int
    coming: int
    shelf: str = ""
    relief: float = 0.0

    @property
    def sure(self) -> int:
        return max(0, self.low - self.free - self.coming)


@dataclass
class Ahead:
    """Frames to hang ahead: `weeks` are (week's place, frames); `pairs` of firsts are counted on; `why` no more."""

    expected: Expected
    weeks: list[tuple[int, int]] = field(default_factory=list)
    pairs: int = 0
    why: str = ""

    @property
    def frames(self) -> int:
        return sum(frames for _, frames in self.weeks)


def make_ahead(
    floor: FloorWeeks, rows: Sequence[Expected], room: Mapping[str, int], last_week: int, full: float = FULL
) -> list[Ahead]:
    """For each candle of which something is sure, what to hang in the weeks before `last_week` (a place).

    `floor`: weeks with what is wanted and what hangs, nothing expected. `room`: pairs each shelf still takes; shelves
    that are not named take any. Whole frames only: less than a frame is left to the season itself.
    """
    left, found = dict(room), []
    for row in sorted(
        (row for row in rows if row.sure), key=lambda row: (-row.relief, -row.low / row.rest, row.candle)
    ):
        firsts = firsts_of(floor.problem.items[row.item])
        ahead = Ahead(row)
        found.append(ahead)
        asked = int(row.sure / firsts) if firsts else 0
        if not asked:
            ahead.why = "less than a frame" if firsts else "no firsts are counted on from its frames"
            continue
        takes = int(max(0, left[row.shelf]) / firsts) if row.shelf in left else asked
        to_hang = min(asked, takes)
        for week in range(last_week):
            if to_hang and (frames := fits(floor, row.item, week, to_hang, full)):
                floor = with_frames(floor, row.item, week, frames)
                ahead.weeks.append((week, frames))
                to_hang -= frames
        ahead.pairs = round(ahead.frames * firsts)
        if row.shelf in left:
            left[row.shelf] -= ahead.pairs
        ahead.why = _why(asked, takes, ahead.frames, row.shelf)
    return found


def _why(asked: int, takes: int, hung: int, shelf: str) -> str:
    """Why not more, in words; "" where all that is sure is made."""
    if hung == asked:
        return ""
    if hung == takes:
        return f"shelf {shelf} has no more room"
    return "no idle week has more room for it" if hung else "no idle week has room for a frame of it"


def ready_by(monday: date) -> date:
    """The day pairs of frames hung in the week of that Monday lie on the shelf."""
    return monday + timedelta(days=READY_AFTER)
