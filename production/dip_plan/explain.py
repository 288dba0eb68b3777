"""Why a frame hangs where it hangs, and the one limit that makes a line late, in words. No Django."""

from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from production.dip_plan.binds import day_in_words
from production.dip_plan.clock import half_of, later, moment_done, moment_of, ready_on
from production.dip_plan.plan import Hanging, Plan, WantGets
from production.dip_plan.problem import REHANG_TURNS, Problem, Want

NOON = ("morning", "afternoon")


def why_frames(problem: Problem, plan: Plan) -> dict[int, str]:
    """By number, for every new frame: its vat's bath and how long it stays, and the earliest day its pairs are wanted.

    "Ivory until Thursday 3 Dec, afternoon, then red; its earliest date is 3 Dec."
    """
    dues = defaultdict(list)
    for fill in plan.fills:
        dues[fill.frame].append(problem.wants[fill.want].due)
    firsts = [row for row in plan.hangings if row.started < 0 and row.stage == 0]
    return {row.frame: f"{_stay(problem, plan, row)}; {_whom(dues[row.frame])}." for row in firsts}


def _stay(problem: Problem, plan: Plan, row: Hanging) -> str:
    baths, half = plan.baths[row.vat], half_of(problem, row.starts)
    name = problem.baths[baths[half]].name
    name = name[:1].upper() + name[1:]
    end = next((at for at in range(half, len(baths)) if baths[at] != baths[half]), None)
    if end is None:
        return f"{name} as far as the plan goes"
    return f"{name} until {_half_in_words(problem, end)}, then {problem.baths[baths[end]].name}"


def _whom(dues: list[date]) -> str:
    if not dues:
        return "nobody waits for its pairs, they go to the shelf"
    return f"its earliest date is {min(dues).day} {min(dues):%b}"


def _half_in_words(problem: Problem, place: int) -> str:
    half = problem.halves[place]
    first = place == 0 or problem.halves[place - 1].day != half.day
    return f"{day_in_words(problem.days[half.day].date)}, {NOON[0] if first else NOON[1]}"


def why_late(problem: Problem, plan: Plan) -> dict[int, str]:
    """By place in Problem.wants, for every late line: the one limit that binds it."""
    reasons = _Reasons(problem, plan)
    late = (gets for gets in plan.wants if gets.open or gets.done is None or gets.done > problem.wants[gets.want].due)
    return {gets.want: reasons.of(gets) for gets in late}


@dataclass
class _Reasons:
    problem: Problem
    plan: Plan

    def __post_init__(self):
        self.threaded = Counter(
            half_of(self.problem, row.starts) for row in self.plan.hangings if row.started < 0 and row.stage == 0
        )
        self.fills = defaultdict(list)
        for fill in self.plan.fills:
            self.fills[fill.want].append(fill)
        self.starts = {row.frame: row.starts for row in self.plan.hangings if row.stage == 0}

    def of(self, gets: WantGets) -> str:
        want = self.problem.wants[gets.want]
        if not self.problem.halves:
            return "nobody works in the days ahead"
        if want.due < self.problem.days[0].date:
            return f"it was wanted by {day_in_words(want.due)}, before the plan begins"
        return self._never(want) or self._too_long(want) or self._with_others(gets, want) or self._room(gets, want)

    def _never(self, want: Want) -> str:
        item = self.problem.items[want.item]
        for stage in item.stages:
            name = self.problem.baths[stage.bath].name
            holds = [vat for vat in self.problem.vats if stage.bath in vat.may_hold or stage.bath == vat.bath]
            if not holds:
                return f"no vat may hold {name}"
            if all(vat.depth_mm < item.length_mm for vat in holds):
                return f"no vat that may hold {name} covers a candle of {item.length_mm} mm"
        if not item.most_frames or not item.counted[-1]:
            return "no firsts are counted on from its frames"
        return ""

    def _too_long(self, want: Want) -> str:
        """Where even a frame hung at once, alone, is not ready in time."""
        item, due = self.problem.items[want.item], want.due
        least = self._least(want)
        ready = ready_on(self.problem.days, later(moment_done(self.problem.days, least), item.harden_s))
        if ready and ready <= due:
            return ""
        dips = sum(stage.dips for stage in item.stages)
        return f"{dips} dips and {item.harden_s // 3600} hours to harden are more than the time left"

    def _least(self, want: Want) -> int:
        """Seconds of work that a frame takes alone."""
        stages = self.problem.items[want.item].stages
        return sum((stage.dips + REHANG_TURNS) * max(stage.turn_s, stage.dip_s) for stage in stages)

    def _with_others(self, gets: WantGets, want: Want) -> str:
        fills = self.fills[gets.want]
        if want.whole and not gets.open and all(fill.ready <= want.due for fill in fills):
            return "its order leaves as a whole, and another line of it is late"
        return ""

    def _room(self, gets: WantGets, want: Want) -> str:
        """Baths, positions, hands or wax, up to when its last pairs are hung."""
        frames = [self.starts[fill.frame] for fill in self.fills[gets.want] if fill.frame in self.starts]
        begins = max(frames, default=0) if not gets.open else self.problem.horizon
        name = self.problem.baths[self.problem.items[want.item].stages[0].bath].name
        until = f"until {_day(self.problem, begins)}" if not gets.open else "up to the plan's end"
        last = self._last_start(want)
        vats = list(self._held(want, min(last, begins)))
        if not vats:
            return f"no vat in {name} {until}"
        if not self._wax_left(want) and gets.open:
            return "the wax in hand is spoken for"
        if self._hands_busy(min(last, begins)):
            return f"no hands left to thread it {until}"
        if all(self._full(vat, half) for vat, half in vats):
            return f"every position over {name} is taken {until}"
        return f"other lines come before it over {name} {until}"

    def _last_start(self, want: Want) -> int:
        """The last second at which a frame could still be hung and be ready in time, alone."""
        item, least = self.problem.items[want.item], self._least(want)
        in_time = [
            half.ends
            for half in self.problem.halves
            if (
                ready := ready_on(
                    self.problem.days, later(moment_of(self.problem.days, half.starts + least), item.harden_s)
                )
            )
            and ready <= want.due
        ]
        return max(in_time, default=0)

    def _held(self, want: Want, until: int) -> Iterator[tuple[int, int]]:
        """(vat, half) in which the candle could hang before that second."""
        item = self.problem.items[want.item]
        deep = [at for at, vat in enumerate(self.problem.vats) if vat.depth_mm >= item.length_mm]
        for place, half in enumerate(self.problem.halves):
            for at in deep:
                if half.starts < until and self.plan.baths[at][place] == item.stages[0].bath:
                    yield at, place

    def _full(self, vat: int, place: int) -> bool:
        half, taken = self.problem.halves[place], set()
        for row in self.plan.hangings:
            if row.vat == vat and row.starts < half.ends and row.ends > half.starts:
                taken.add(row.position)
        return len(taken) >= self.problem.vats[vat].positions

    def _hands_busy(self, until: int) -> bool:
        places = [place for place, half in enumerate(self.problem.halves) if half.starts < until]
        return bool(places) and all(self.threaded[place] >= self.problem.threads[place] for place in places)

    def _wax_left(self, want: Want) -> bool:
        item = self.problem.items[want.item]
        wax = self.problem.baths[item.stages[0].bath].wax
        if wax >= len(self.problem.wax_g) or self.problem.wax_g[wax] is None:
            return True
        taken = 0
        for row in self.plan.hangings:
            other = self.problem.items[row.item]
            if row.started < 0 and row.stage == 0 and self.problem.baths[other.stages[0].bath].wax == wax:
                taken += other.wax_g
        return self.problem.wax_g[wax] - taken >= item.wax_g


def _day(problem: Problem, second: int) -> str:
    return day_in_words(moment_of(problem.days, second).date())
