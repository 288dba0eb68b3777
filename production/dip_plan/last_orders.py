"""Until when can an order come in and still be there by a day? The plan, asked as ready-by asks it, later and later.

No Django. The plan that stands ends a few weeks ahead: `stretched` goes on with it, every frame where it hangs and
every vat in its last colour, past the day asked for. Then each candle is asked for as if the order came in at the end
of a working day: the last such day whose answer is early enough is its last order day. What lies free in stock is left
out: it can go until the last van as it is.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date

from production.dip_plan.asking import Asking, reserved
from production.dip_plan.plan import Plan
from production.dip_plan.problem import Day, Half, Problem
from production.dip_plan.ready_by import Answer, answer


@dataclass(frozen=True)
class LastDay:
    """`on`: the last day an order for `pairs` can come in; None: even one of the first day would come too late.

    `ready`: the day its pairs would be there, if it came in on that day; without one, if it came in at once (None:
    never within the plan). `binds`: what stands in the way of the next day, or of any.
    """

    item: int
    pairs: int
    on: date | None
    ready: date | None
    binds: str


def stretched(
    problem: Problem, plan: Plan, days: Sequence[Day], halves: Sequence[Half], threads: Callable[[Half], int]
) -> tuple[Problem, Plan]:
    """The problem with these days and half-days, which begin as its own do, and the plan gone on with over them.

    `threads`: frames the hands can thread in a half-day. Wax is taken as bought in time. ValueError where the days or
    half-days do not begin as the problem's own: the working hours were changed since.
    """
    more = halves[len(problem.halves) :]
    same = tuple(days[: len(problem.days)]) == problem.days[: len(days)]
    if not same or tuple(halves[: len(problem.halves)]) != problem.halves[: len(halves)]:
        raise ValueError("the plan was made with other working hours")
    longer = replace(
        problem,
        days=tuple(days) if len(days) > len(problem.days) else problem.days,
        halves=(*problem.halves, *more),
        threads=(*problem.threads, *(threads(half) for half in more)),
        wax_g=(),
    )
    baths = tuple((*row, *(row[-1:] * len(more))) for row in plan.baths)
    return longer, replace(plan, baths=baths)


def room_kept(state: Asking) -> Asking:
    """The same with room kept first for those who wait and get too little by the plan as it stands."""
    return reserved(state, [item for item, shares in state.before.items() if any(share.open for share in shares)])


def last_day(state: Asking, item: int, pairs: int, by: date, today: date) -> LastDay:
    """The last working day from `today` on at whose end an order for `pairs` can come in and be there by `by`.

    Nothing is hung for it before the next day opens, as ready-by has it. The later an order comes, the later it is
    ready: steps back from the last day, each twice as long, find a day that is early enough, and what lies between is
    halved until one is left.
    """
    days = [day for day in state.problem.days if today <= day.date <= by]
    least, most, best, beyond, step = 0, len(days) - 1, None, None, 1
    while least <= most:
        middle = max(least, most - step + 1) if best is None else (least + most) // 2
        step *= 2
        found = _asked(state, item, pairs, days[middle])
        if found.day is not None and found.day <= by:
            best, least = (days[middle].date, found), middle + 1
        else:
            beyond, most = found, middle - 1
    if best is None:
        ready = beyond.day if beyond else None
        return LastDay(item, pairs, None, ready, beyond.binds if beyond else "no day of work is left before it")
    binds = beyond.binds if beyond else best[1].binds
    return LastDay(item, pairs, best[0], best[1].day, binds)


def _asked(state: Asking, item: int, pairs: int, day: Day) -> Answer:
    found, _ = answer(state.at(day.ends, day.date), item, pairs)
    return found
