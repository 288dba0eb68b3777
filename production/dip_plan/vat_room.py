"""One vat's turns as what hangs there makes them, and where a frame more fits in. No Django."""

from bisect import bisect_left, bisect_right, insort
from collections.abc import Iterator
from itertools import islice
from typing import NamedTuple

from production.dip_plan.plan import Hanging
from production.dip_plan.problem import REHANG_TURNS, Problem, Stage

MOST_STARTS = 40  # tried in one gap; in a long gap the next turn is as good as the one before


class Turn(NamedTuple):
    """`dip_s`: of all that hangs in it; `goes_on`: something that hangs in it hangs in the next one, too."""

    begins: int
    ends: int
    dip_s: int
    goes_on: bool


class Hours:
    """Where days and half-days begin and end, laid out to be looked up quickly."""

    def __init__(self, problem: Problem):
        self.days = [day.starts for day in problem.days]
        self.closes = [day.ends for day in problem.days]
        self.halves = [half.starts for half in problem.halves]
        self.horizon = problem.horizon

    def day_at(self, second: int) -> int:
        return max(0, bisect_right(self.days, second) - 1)

    def half_at(self, second: int) -> int:
        """The half-day a second of work lies in; -1 after the last."""
        return bisect_right(self.halves, second) - 1 if second < self.horizon else -1

    def fitting(self, now: int, length: int) -> int:
        """When a turn of that length can begin: at once, or at the next opening."""
        closes = self.closes[self.day_at(now)]
        return now if now + length <= closes else closes


class VatRoom:
    """One vat's turns and, by position, when something hangs there. `copy` shares nothing that `add` changes."""

    def __init__(self, hours: Hours, positions: list, turns: list[Turn], begins: list[int]):
        self.hours, self.positions, self.turns, self.begins = hours, positions, turns, begins
        self._busy: set[int] | None = None

    @classmethod
    def of(cls, problem: Problem, hours: Hours, vat: int, hangings: list[Hanging]) -> "VatRoom":
        positions: list[list[tuple[int, int]]] = [[] for _ in range(problem.vats[vat].positions)]
        for row in hangings:
            insort(positions[row.position], (row.starts, row.ends))
        turns = list(_turns(problem, hours, sorted(hangings, key=lambda row: row.starts)))
        return cls(hours, positions, turns, [turn.begins for turn in turns])

    def copy(self) -> "VatRoom":
        return VatRoom(self.hours, [list(spans) for spans in self.positions], list(self.turns), list(self.begins))

    @property
    def busy(self) -> set[int]:
        """The half-days in which something hangs."""
        if self._busy is None:
            half_at, last = self.hours.half_at, len(self.hours.halves) - 1
            spans = [(half_at(a), half_at(b - 1)) for row in self.positions for a, b in row]
            self._busy = {half for a, b in spans for half in range(a, (last if b < 0 else b) + 1)}
        return self._busy

    def gaps(self, begins: int, until: int, least_s: int) -> list[tuple[int, int, int]]:
        """(from, until, position) where nothing hangs for `least_s` seconds or more, earliest first."""
        found = []
        for position, spans in enumerate(self.positions):
            free = begins
            for starts, ends in spans[max(0, bisect_left(spans, (free, 0)) - 1) :]:
                if ends <= free:
                    continue
                if min(starts, until) - free >= least_s:
                    found.append((free, min(starts, until), position))
                free = max(free, ends)
                if free >= until:
                    break
            if until - free >= least_s:
                found.append((free, until, position))
        return sorted(found)

    def starts_in(self, begins: int, until: int, turn_s: int) -> Iterator[int]:
        """Seconds at which a frame may be hung in a gap: with the turns there, and while the carousel is empty."""
        at = bisect_left(self.begins, begins)
        if at == 0:
            yield from self._alone(begins, at, until, turn_s)
        elif not self.turns[at - 1].goes_on:
            yield from self._alone(max(begins, self.turns[at - 1].ends), at, until, turn_s)
        for place in range(at, min(at + MOST_STARTS, len(self.turns))):
            turn = self.turns[place]
            if turn.begins >= until:
                return
            yield turn.begins
            if not turn.goes_on:
                yield from self._alone(turn.ends, place + 1, until, turn_s)

    def _alone(self, begins: int, at: int, until: int, turn_s: int) -> Iterator[int]:
        """At once; so that its turns lead straight into the next ones of that day; and at each opening."""
        until = min(until, self.begins[at]) if at < len(self.begins) else until
        if begins >= until:
            return
        yield begins
        days = self.hours.days
        opening = max(begins, days[self.hours.day_at(until - 1)])
        if (turns := (until - opening) // turn_s) > 0:
            yield until - turns * turn_s
        yield from days[bisect_right(days, begins) : bisect_left(days, until)]

    def _turns_of(self, starts: int, stage: Stage) -> Iterator[tuple[int, int, Turn | None]]:
        """Begin and end of each turn of a frame hung at `starts`, and the turn that goes on anyway, if one does."""
        now, at, alone = starts, bisect_left(self.begins, starts), max(stage.turn_s, stage.dip_s)
        while True:
            turn = self.turns[at] if at < len(self.turns) else None
            if turn and turn.begins == now:
                yield turn.begins, turn.ends, turn
                now, at = turn.ends, at + 1
            elif turn and at and self.turns[at - 1].goes_on and now > starts:
                now = turn.begins
            else:
                begins = self.hours.fitting(now, alone)
                if turn and turn.begins <= begins:
                    now = turn.begins
                    continue
                yield begins, begins + alone, None
                now = begins + alone

    def walk(self, starts: int, stage: Stage, until: int) -> tuple[int, int] | None:
        """First dip and end of a frame hung at `starts`; None where a turn would move, or if it ends after `until`."""
        first, ends = starts, starts
        for count, (begins, ends, turn) in enumerate(islice(self._turns_of(starts, stage), stage.dips + REHANG_TURNS)):
            if ends > until or (count == 0 and begins != starts):
                return None
            if turn:
                length = turn.ends - turn.begins
                if stage.turn_s > length or turn.dip_s + stage.dip_s > length:
                    return None
            else:
                after = bisect_right(self.begins, begins)
                if after < len(self.begins) and self.begins[after] < ends:
                    return None
            if count == REHANG_TURNS:
                first = begins
        return first, ends

    def add(self, row: Hanging, stage: Stage) -> None:
        """Hang it: the turns it joins carry it, those it makes by itself are there from now on."""
        insort(self.positions[row.position], (row.starts, row.ends))
        self._busy = None
        for begins, ends, turn in list(islice(self._turns_of(row.starts, stage), stage.dips + REHANG_TURNS)):
            at = bisect_left(self.begins, begins)
            if turn:
                self.turns[at] = Turn(begins, ends, turn.dip_s + stage.dip_s, turn.goes_on or ends < row.ends)
            else:
                self.turns.insert(at, Turn(begins, ends, stage.dip_s, ends < row.ends))
                self.begins.insert(at, begins)


def _turns(problem: Problem, hours: Hours, waiting: list[Hanging]) -> Iterator[Turn]:
    """The turns of a vat, as what hangs there makes them."""
    hung: list[tuple[Hanging, Stage]] = []
    now, at = 0, 0
    while at < len(waiting) or hung:
        if not hung:
            now = max(now, waiting[at].starts)
        while at < len(waiting) and waiting[at].starts <= now:
            hung.append((waiting[at], stage_of(problem, waiting[at])))
            at += 1
        dip_s = sum(stage.dip_s for _, stage in hung)
        length = max(dip_s, *(stage.turn_s for _, stage in hung))
        begins = hours.fitting(now, length)
        if begins > now:
            now = begins  # the next opening, where others may be hung with them
            continue
        now = begins + length
        hung = [(row, stage) for row, stage in hung if row.ends > now]
        yield Turn(begins, now, dip_s, bool(hung))


def stage_of(problem: Problem, row: Hanging) -> Stage:
    return (problem.started[row.started] if row.started >= 0 else problem.items[row.item]).stages[row.stage]
