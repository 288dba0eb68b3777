"""Where one more frame can hang without anything that is planned moving by a second. No Django.

A frame more may join a turn that goes on anyway, if the turn takes it without growing longer, or turn by itself while
the carousel is empty, if its turns end before the next frame is hung. So no promised line can come later by it; where
that is too little, ready_by.py tries a block of colour besides.
"""

from dataclasses import dataclass

from production.dip_plan.clock import nights
from production.dip_plan.plan import Hanging, Plan
from production.dip_plan.problem import REHANG_TURNS, Item, Problem, Stage
from production.dip_plan.vat_room import Hours, VatRoom


@dataclass(frozen=True)
class Run:
    """A vat in one bath without a break, in seconds of work, the change-over before it left out."""

    vat: int
    bath: int
    starts: int
    ends: int


def runs_of(problem: Problem, baths) -> list[Run]:
    """Every stretch of one bath in the table of baths, the change-over before it taken off; earliest first."""
    found = []
    for vat, row in enumerate(baths):
        before, stretch = problem.vats[vat].bath, None
        for half, bath in zip(problem.halves, row, strict=True):
            if stretch and stretch[1] == bath:
                stretch[3] = half.ends
                continue
            change = 0 if bath == before else problem.change_s[before][bath]
            stretch = [vat, bath, half.starts + change, half.ends]
            found.append(stretch)
            before = bath
    runs = (Run(*stretch) for stretch in found if stretch[2] < stretch[3])
    return sorted(runs, key=lambda run: (run.starts, run.vat))


class Room:
    """All vats of a plan, the hands and the wax still free, and what was added."""

    def __init__(self, problem: Problem, plan: Plan, now: int):
        self.problem, self.now, self.hours = problem, now, Hours(problem)
        self.baths = [list(row) for row in plan.baths]
        by_vat: list[list[Hanging]] = [[] for _ in problem.vats]
        self.hands, self.wax = list(problem.threads), list(problem.wax_g)
        self.frames = max((row.frame for row in (*plan.hangings, *plan.ready)), default=-1) + 1
        for row in plan.hangings:
            by_vat[row.vat].append(row)
            if row.started < 0 and row.stage == 0:
                self._take(problem.items[row.item], row.starts)
        self.vats = [VatRoom.of(problem, self.hours, vat, rows) for vat, rows in enumerate(by_vat)]
        self.added: list[Hanging] = []
        self.runs = runs_of(problem, self.baths)

    def copy(self) -> "Room":
        other = object.__new__(Room)
        other.problem, other.now, other.hours, other.frames = self.problem, self.now, self.hours, self.frames
        other.baths, other.runs = self.baths, self.runs
        other.hands, other.wax, other.added = list(self.hands), list(self.wax), list(self.added)
        other.vats = list(self.vats)  # a vat is copied before a frame is hung over it
        return other

    def recolour(self, vat: int, first: int, last: int, bath: int) -> None:
        """The vat holds another bath in the half-days from `first` to `last`; nothing hangs there in them."""
        self.baths = [list(row) for row in self.baths]
        self.baths[vat][first : last + 1] = [bath] * (last + 1 - first)
        self.runs = runs_of(self.problem, self.baths)

    def wax_of(self, item: Item) -> int:
        return self.problem.baths[item.stages[-1].bath].wax

    def has_wax(self, item: Item) -> bool:
        wax = self.wax_of(item)
        return wax >= len(self.wax) or self.wax[wax] is None or self.wax[wax] >= item.wax_g

    def _take(self, item: Item, starts: int) -> None:
        if (half := self.hours.half_at(starts)) >= 0:
            self.hands[half] -= 1
        wax = self.wax_of(item)
        if wax < len(self.wax) and self.wax[wax] is not None:
            self.wax[wax] -= item.wax_g

    def hang(self, item: int, until: int | None = None) -> tuple[Hanging, ...]:
        """Hang one more frame of the item where it is done first; () where there is no room by `until`."""
        candle, rows, ready = self.problem.items[item], [], self.now
        if not self.has_wax(candle):
            return ()
        until = self.problem.horizon if until is None else until
        for place, stage in enumerate(candle.stages):
            row = self._earliest(item, place, stage, ready, until)
            if row is None:
                return ()
            rows.append(row)
            ready = row.ends
        for row in rows:
            self.vats[row.vat] = self.vats[row.vat].copy()
            self.vats[row.vat].add(row, candle.stages[row.stage])
        self._take(candle, rows[0].starts)
        self.frames += 1
        self.added += rows
        return tuple(rows)

    def _earliest(self, item: int, place: int, stage: Stage, ready: int, until: int) -> Hanging | None:
        problem, best = self.problem, None
        least_s = (stage.dips + REHANG_TURNS) * max(stage.turn_s, stage.dip_s)
        for run in self.runs:
            bound = until if best is None else best.ends - 1
            if max(run.starts, ready) + least_s > bound:
                if run.starts > bound:
                    break
                continue
            fits = run.bath == stage.bath and problem.vats[run.vat].depth_mm >= problem.items[item].length_mm
            if fits and run.ends > ready:
                best = self._in_run(run, item, place, ready, bound) or best
        return best

    def _in_run(self, run: Run, item: int, place: int, ready: int, bound: int) -> Hanging | None:
        """The frame that is done first in this run, not after `bound`."""
        room, stage, best = self.vats[run.vat], self.problem.items[item].stages[place], None
        turn_s = max(stage.turn_s, stage.dip_s)
        least_s = (stage.dips + REHANG_TURNS) * turn_s
        for begins, until, position in room.gaps(max(run.starts, ready), run.ends, least_s):
            if begins + least_s > bound:
                break
            for starts in room.starts_in(begins, until, turn_s):
                if starts + least_s > min(until, bound) or (place == 0 and not self._has_hands(starts)):
                    continue
                if (dipped := room.walk(starts, stage, min(until, bound))) is not None:
                    first, ends = dipped
                    best, bound = (
                        Hanging(
                            self.frames, item, -1, place, run.vat, position, starts, first, ends, stage.dips,
                            nights(self.problem.days, starts, ends),
                        ),
                        ends - 1,
                    )  # fmt: skip
                    break
        return best

    def _has_hands(self, starts: int) -> bool:
        half = self.hours.half_at(starts)
        return half >= 0 and self.hands[half] > 0
