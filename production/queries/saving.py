"""What would save pairs promised by a day, tried on the book as it is now: the planner's ways with the floor's own."""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from django.utils import timezone

from production.dip_plan.binds import day_in_words
from production.dip_plan.problem import Problem, Want
from production.dip_plan.save import Baths, Tried, Way, ways_to_save
from production.domain.dip_plan.frozen import carried_over
from production.domain.dip_plan.load import Loaded, load_problem
from production.models import DipPlan
from production.queries.dip_plan import standing_plan

MOST_FREE_DAYS = 2
TAKING_OVER = 5  # minutes


@dataclass(frozen=True)
class Held:
    """Pairs that lie set aside for somebody else and could be taken over for the want `of`. `want`: the giver's, if it
    waits for more already.
    """

    of: int
    pairs: int
    due: date
    label: str
    want: int | None
    words: str


def ways_for(wants: Collection[int], by: date, held: Sequence[Held] = ()) -> list[Way] | None:
    """The ways, the cheapest first; None where no plan stands or no day can be planned."""
    row = standing_plan()
    loaded = load_problem(standing=row) if row else None
    if not loaded or not loaded.problem.halves:
        return None
    problem, baths = loaded.problem, carried_over(row, loaded.problem, loaded.clock)
    more = [*_taken_over(problem, baths, held), *_days_worked(row, loaded, by), *_hands(row, loaded)]
    return ways_to_save(problem, baths, set(wants), by, more)


def _taken_over(problem: Problem, baths: Baths, held: Sequence[Held]) -> Iterator[Tried]:
    places = {want.key: at for at, want in enumerate(problem.wants)}
    for n, row in enumerate(held, start=1):
        if row.of not in places:
            continue
        mine = problem.wants[places[row.of]]
        pairs, wants = min(row.pairs, mine.pairs), list(problem.wants)
        if not pairs:
            continue
        wants[places[row.of]] = replace(mine, pairs=mine.pairs - pairs)
        if row.want in places:
            theirs = wants[places[row.want]]
            wants[places[row.want]] = replace(theirs, pairs=theirs.pairs + pairs)
        else:
            # Last in the list: whoever gives pairs away waits for what others leave, which errs on the safe side.
            wants.append(Want(-n, mine.item, pairs, row.due, mine.weight, row.label))
        yield Tried(row.words, replace(problem, wants=tuple(wants)), baths, TAKING_OVER)


def _days_worked(row: DipPlan, loaded: Loaded, by: date) -> Iterator[Tried]:
    """The next days off before the day, worked after all."""
    worked = {day.date for day in loaded.problem.days}
    ahead = (timezone.localdate() + timedelta(days=n) for n in range(1, 15))
    free = [day for day in ahead if day < by and day not in worked][:MOST_FREE_DAYS]
    for day in free:
        other = load_problem(standing=row, what_if={"days_worked": [day.isoformat()]})
        on = next((each for each in other.problem.days if each.date == day), None)
        if on:
            baths = carried_over(row, other.problem, other.clock)
            yield Tried(
                f"{day_in_words(day)} worked", other.problem, baths, (on.ends - on.starts) // 60, moves_up=True
            )


def _hands(row: DipPlan, loaded: Loaded) -> Iterator[Tried]:
    other = load_problem(standing=row, what_if={"hands": 1})
    minutes = loaded.problem.horizon // 60
    yield Tried(
        "another pair of hands to thread", other.problem, carried_over(row, other.problem, other.clock), minutes, True
    )
