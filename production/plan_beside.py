"""Two plans side by side: the figures of each, and the lines whose day changes. No Django."""

from dataclasses import dataclass
from datetime import date

from inventory.words import counted
from production.dip_plan.plan import Plan, WantGets
from production.dip_plan.problem import Problem, Want
from production.plan_words import Tally, short_day, work_time

TRIED = "tried"  # the group that an order has while it is only tried (production.domain.dip_plan.wants)


@dataclass(frozen=True)
class Figure:
    what: str
    stands: str
    trial: str


@dataclass(frozen=True)
class Moved:
    """A line ready on another day. `then`, `now`: None where a plan does not finish it, or has no such line (`new`);
    `days`: later is above nought; one that is unfinished counts as ready on the last day that is known."""

    want: Want
    then: date | None
    now: date | None
    days: int
    new: bool = False

    @property
    def tried(self) -> bool:
        """Of the order that is only tried; any other new line has come to the book since."""
        return self.want.group == TRIED

    @property
    def words(self) -> str:
        if self.new:
            what = "tried" if self.tried else "new since the plan"
            late = (self.now - self.want.due).days if self.now else 0
            return f"{what}, late by {counted(late, 'day')}" if late > 0 else what
        if self.now is None:
            return "not finished any more"
        if self.then is None:
            return "finished now"
        return f"{counted(abs(self.days), 'day')} {'later' if self.days > 0 else 'sooner'}"


def figures_beside(stands: Tally, trial: Tally) -> list[Figure]:
    """A row for each figure, the most telling first."""

    def row(what: str, told) -> Figure:
        return Figure(what, told(stands), told(trial))

    return [
        row("Orders ready in time", lambda each: f"{each.in_time:,} of {each.orders:,}"),
        row("Lines late", lambda each: f"{len(each.late):,}"),
        row("The worst of them", _worst),
        row("Late pair-days, by rank", lambda each: f"{each.late_days:,}"),
        row("New frames", lambda each: f"{each.frames:,}"),
        row("Change-over", lambda each: work_time(each.change_minutes).replace("no minute", "none")),
        row("Frames more than the wants need", lambda each: f"{each.over:,}"),
    ]


def _worst(facts: Tally) -> str:
    if facts.unfinished:
        return f"{facts.unfinished:,} unfinished"
    return counted(facts.worst, "day") if facts.worst else "–"


def moved_lines(stands: tuple[Problem, Plan], trial: tuple[Problem, Plan]) -> list[Moved]:
    """Lines ready on another day in the trial, those that come later first; the lines tried stand before all."""
    then, now = _by_key(*stands), _by_key(*trial)
    last = max(_last(stands[0]), _last(trial[0]))
    found = []
    for key, (want, gets) in now.items():
        day = _day(gets)
        if key not in then:
            found.append(Moved(want, None, day, ((day or last) - want.due).days, new=True))
        elif day != (was := _day(then[key][1])):
            found.append(Moved(want, was, day, ((day or last) - (was or last)).days))
    return sorted(found, key=lambda each: (not each.new, not each.tried, -each.days, each.want.due, each.want.key))


def trial_sentence(changes: str, stands: Tally, trial: Tally, moved: list[Moved]) -> str:
    """ "With Saturday 28 Nov worked: 1 line late instead of 3; 4 lines sooner, none later." """
    late = counted(len(trial.late), "line") + " late"
    if len(trial.late) != len(stands.late):
        late += f" instead of {len(stands.late):,}"
    sooner = sum(each.days < 0 and not each.new for each in moved)
    later = sum(each.days > 0 and not each.new for each in moved)
    tried = [each for each in moved if each.new and each.tried]
    said = [late, f"{counted(sooner, 'line') if sooner else 'no line'} sooner, {later or 'none'} later"]
    if tried:
        days = [each.now for each in tried]
        ready = (
            "the lines tried are not all finished"
            if None in days
            else f"what is tried is ready by {short_day(max(days))}"
        )
        said.insert(0, ready)
    return f"{changes[:1].upper()}{changes[1:]}: {'; '.join(said)}."


def _by_key(problem: Problem, plan: Plan) -> dict[int, tuple[Want, WantGets]]:
    return {problem.wants[gets.want].key: (problem.wants[gets.want], gets) for gets in plan.wants}


def _day(gets: WantGets) -> date | None:
    return None if gets.open else gets.done


def _last(problem: Problem) -> date:
    return problem.days[-1].date
