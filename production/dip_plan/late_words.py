"""What makes a line of the plan late: the one limit that binds, in words. No Django."""

from collections import Counter, defaultdict
from datetime import date

from production.dip_plan.clock import half_of, moment_of
from production.dip_plan.plan import Hanging, Plan
from production.dip_plan.problem import REHANG_TURNS, Problem, Stage
from production.dip_plan.troubles import item_trouble
from production.dip_plan.workable import frames_needed, second_off_by, vats_for


class Lateness:
    """A plan looked up from its late lines: what filled them last, and what stood in that frame's way."""

    def __init__(self, problem: Problem, plan: Plan):
        self.problem, self.plan = problem, plan
        self.rows = defaultdict(list)
        for row in plan.hangings:
            self.rows[row.frame].append(row)
        self.ready = {row.frame: row for row in plan.ready}
        self.fills = defaultdict(list)
        for fill in plan.fills:
            self.fills[fill.want].append(fill)
        new = [row for row in plan.hangings if row.started < 0 and row.stage == 0]
        self.threaded = Counter(half_of(problem, row.starts) for row in new)
        self.hung = Counter(row.item for row in new)

    def why(self, want: int) -> str:
        last = self._last_of_group(want)
        if last != want:
            other = self.problem.wants[last]
            name = self.problem.items[other.item].name
            return f"The order goes out whole and waits for {name}: {_lower(self._of_want(last))}"
        return self._of_want(want)

    def _last_of_group(self, want: int) -> int:
        """The line that a whole order waits for: one without an end, or the one that ends last."""
        mine = self.problem.wants[want]
        if not (mine.whole and mine.group):
            return want
        places = [at for at, other in enumerate(self.problem.wants) if other.whole and other.group == mine.group]
        return max(places, key=lambda at: (self.plan.wants[at].open > 0, self._last_day(at), at == want))

    def _last_day(self, want: int) -> date:
        return max((fill.ready for fill in self.fills[want]), default=date.min)

    def _of_want(self, want: int) -> str:
        if self.plan.wants[want].open:
            return self._never(want)
        fill = max(self.fills[want], key=lambda fill: (fill.ready, fill.frame))
        ready = self.ready[fill.frame]
        if ready.started >= 0:
            started = self.problem.started[ready.started]
            if started.vat >= 0 or started.hard_s >= 0:
                return f"Frame {started.code}, on the floor already, is ready on {day(fill.ready)}."
        row = min(self.rows[fill.frame], key=lambda row: row.stage)
        return self._of_frame(row, self.problem.wants[want].due, fill.ready)

    def _of_frame(self, row: Hanging, due: date, ready: date) -> str:
        """Why this frame did not hang sooner."""
        problem = self.problem
        item = problem.items[row.item]
        stages = problem.started[row.started].stages if row.started >= 0 else item.stages
        bath = problem.baths[stages[0].bath].name
        turns = sum(stage.dips + REHANG_TURNS for stage in stages)
        takes = sum((stage.dips + REHANG_TURNS) * stage.turn_s for stage in stages)
        latest = second_off_by(problem, item, due) - takes
        if latest < 0:
            hours = round(takes / 3600, 1)
            long = f"Its {turns} turns take {hours:g} working hours: too long a dip for {day(due)}, even hung at once."
            if row.starts < problem.halves[0].ends:
                return long
            return f"{long} {self._of_hanging(row, stages[0], 0)}"
        if len(stages) > 1 and row.starts <= latest:
            onward = problem.baths[stages[-1].bath].name
            return f"Half dipped in {bath} in time, it waits for a place in {onward}; ready on {day(ready)}."
        return self._of_hanging(row, stages[0], latest)

    def _of_hanging(self, row: Hanging, stage: Stage, latest: int) -> str:
        """What kept it from being hung by `latest`, the last second that would have done."""
        problem, bath = self.problem, self.problem.baths[stage.bath].name
        runs, on = self._runs(row.item, stage), day(moment_of(self.problem.days, row.starts).date())
        in_time = [run for run in runs if run[0] <= latest]
        if not in_time:
            begins, _, change = min(runs, default=(row.starts, 0, 0))
            if begins - change <= latest:
                return f"The change-over to {bath} takes until {hour(problem, begins)}."
            return f"No vat in {bath} until {day(moment_of(problem.days, begins).date())}."
        if row.started < 0 and self._no_hands(in_time, row.starts):
            return f"No hands left to thread it before {on}."
        if not any(until > latest for _, until, _ in in_time):
            return f"{_upper(bath)} was left before its turn came, and no vat holds it again until {on}."
        return f"Every position over {bath} is taken until {hour(problem, row.starts)}."

    def _runs(self, item: int, stage: Stage) -> list[tuple[int, int, int]]:
        """(first second, end, seconds of change-over) of each stretch of the bath over a vat deep enough."""
        problem, found = self.problem, []
        for vat in vats_for(problem, problem.items[item], stage):
            before = problem.vats[vat].bath
            for at, bath in enumerate(self.plan.baths[vat]):
                if bath == stage.bath and (bath != before or at == 0):
                    change = problem.change_s[before][bath]
                    begins = problem.halves[at].starts + change
                    found.append([begins, problem.halves[at].ends, change])
                elif bath == stage.bath:
                    found[-1][1] = problem.halves[at].ends
                before = bath
        return [tuple(run) for run in found if run[0] < run[1]]

    def _no_hands(self, runs: list[tuple[int, int, int]], starts: int) -> bool:
        """Were the hands busy in every half-day before `starts` in which a vat held the bath?"""
        halves = {half_of(self.problem, max(0, starts - 1))} if starts else set()
        for begins, until, _ in runs:
            first, last = half_of(self.problem, begins), half_of(self.problem, min(until, starts) - 1)
            halves |= set(range(first, last + 1)) if begins < starts else set()
        halves.discard(half_of(self.problem, starts))
        return bool(halves) and all(self.threaded[half] >= self.problem.threads[half] for half in halves)

    def _never(self, want: int) -> str:
        """Why pairs of a want stay open to the plan's end."""
        problem, item = self.problem, self.problem.wants[want].item
        candle = problem.items[item]
        if not problem.halves:
            return "There are no working hours in these days."
        bath, last = problem.baths[candle.stages[0].bath].name, problem.days[problem.halves[-1].day].date
        limits = (
            (bool(item_trouble(problem, candle)), item_trouble(problem, candle)),
            (self._waits(want), "A frame it was promised of does not get all its dips before the plan ends."),
            (self.hung[item] >= candle.most_frames, "No more firsts are counted on from its frames."),
            (self._no_wax(item), "The wax in hand is used up."),
            (not self._runs(item, candle.stages[0]), f"No vat in {bath} until the plan ends on {day(last)}."),
            (
                self.hung[item] >= frames_needed(problem, item),
                f"Its frames are not finished before the plan ends on {day(last)}.",
            ),
            (True, f"No place over {bath} for long enough until the plan ends on {day(last)}."),
        )
        return next(words for binds, words in limits if binds)

    def _waits(self, want: int) -> bool:
        promised = [at for at, one in enumerate(self.problem.started) if want in dict(one.promised)]
        return any(at not in {row.started for row in self.plan.ready} for at in promised)

    def _no_wax(self, item: int) -> bool:
        problem, candle = self.problem, self.problem.items[item]
        wax, taken = problem.baths[candle.stages[-1].bath].wax, 0
        for other, frames in self.hung.items():
            if problem.baths[problem.items[other].stages[-1].bath].wax == wax:
                taken += frames * problem.items[other].wax_g
        in_hand = problem.wax_g[wax] if wax < len(problem.wax_g) else None
        return in_hand is not None and in_hand - taken < candle.wax_g


def day(when: date) -> str:
    """ "Tuesday 1 Dec" """
    return f"{when:%A} {when.day} {when:%b}"


def hour(problem: Problem, second: int) -> str:
    moment = moment_of(problem.days, second)
    return f"{moment:%H:%M} on {day(moment.date())}"


def _upper(words: str) -> str:
    return words[:1].upper() + words[1:]


def _lower(sentence: str) -> str:
    return sentence[:1].lower() + sentence[1:]
