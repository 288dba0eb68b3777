"""Until when an order for each candle can come in, by the dip plan that stands and the book as it is now."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from django.utils import timezone

from production.dip_plan.asking import Asking, open_plan
from production.dip_plan.last_orders import LastDay, last_day, room_kept, stretched
from production.dip_plan.ready_by import answer
from production.dip_plan.shares import Demand
from production.domain.dip_plan.days import DAYS_TO_HARDEN, work_clock
from production.domain.dip_plan.load import threads_in
from production.models import DipPlan
from production.queries.dip_plan import standing_plan
from production.queries.figures import floor_figures
from production.queries.hours import working_hours
from production.queries.ready_by_plan import Opened, keep, opened, state_now

# Working days gone on with beyond the day asked for, so that what binds then can be said.
BEYOND = 5
NO_PLAN = "No dip plan stands: let one be made first."
OTHER_HOURS = "The dip plan was made with other working hours: plan again."


@dataclass(frozen=True)
class LastOrders:
    """`by`: the day the pairs must be there, the last of work before the van. By candle, of those the plan knows:
    `days` of an order by itself, `crowded` of one that comes after all that is expected. `lacking`: why none.
    """

    by: date
    days: Mapping[int, LastDay]
    crowded: Mapping[int, LastDay]
    plan: DipPlan | None = None
    lacking: str = ""


def last_orders(
    van: date, asked: Mapping[int, int], expected: Mapping[int, int], now: datetime | None = None
) -> LastOrders:
    """The last order day of each candle for so many pairs (candle -> pairs), so that they leave with the van.

    They must be there the working day before, to be packed. `expected`: pairs by candle that may come besides. Some
    fifteen queries, however many candles; what was worked out is kept as long as plan and book stay as they are.
    """
    now, hours, row = now or timezone.now(), working_hours(), standing_plan()
    eve = next((day for day in _days_back(van) if hours and hours.on(day)), van - timedelta(days=1))
    if row is None or hours is None:
        return LastOrders(eve, {}, {}, lacking=NO_PLAN)
    plan = keep(("stretched", row.pk, row.made_at, van), lambda: _stretched(row, hours, van))
    if plan is None:
        return LastOrders(eve, {}, {}, row, OTHER_HOURS)
    state, key = state_now(plan, row, now)
    today = timezone.localdate(now)
    known = {candle: pairs for candle, pairs in sorted(asked.items()) if candle in plan.items}
    more = {candle: pairs for candle, pairs in sorted(expected.items()) if candle in plan.items and pairs}
    key = ("last orders", hash((key, eve, today, tuple(known.items()), tuple(more.items()))))
    days, crowded = keep(key, lambda: _ask(plan, state, (known, more), (eve, today)))
    return LastOrders(eve, days, crowded, row)


def _days_back(day: date) -> Iterable[date]:
    return (day - timedelta(days=back) for back in range(1, 15))


def _stretched(row: DipPlan, hours, van: date) -> Opened | None:
    """The plan gone on with past the van's day; None where the working hours were changed since it was made."""
    plan, figures = opened(row), floor_figures()
    problem, begins = plan.state.problem, timezone.localdate(row.begins)
    count = sum(hours.on(begins + timedelta(days=ahead)) is not None for ahead in range((van - begins).days)) + BEYOND
    count = max(count, len({half.day for half in problem.halves}))
    clock = work_clock(hours, row.begins, count, spare=DAYS_TO_HARDEN)
    try:
        longer, went_on = stretched(
            problem, plan.plan, clock.days, clock.halves, lambda half: threads_in([half], figures, 0)[0]
        )
    except ValueError:
        return None
    return Opened(went_on, open_plan(longer, went_on), plan.items, plan.wants, (plan.key, van))


def _ask(plan: Opened, state: Asking, asked: tuple[Mapping[int, int], Mapping[int, int]], days: tuple[date, date]):
    """The last days alone, and after all that is expected has taken its room."""
    # What lies free fills those who wait, in their order, long before an order that comes later; what is left over is
    # left out: the question is what has to be dipped.
    demands = {item: _unfilled(rows, state.stock.get(item, 0)) for item, rows in state.demands.items()}
    state, (each, expected) = room_kept(replace(state, stock={}).with_demands(demands)), asked
    alone = {candle: last_day(state, plan.items[candle], pairs, *days) for candle, pairs in each.items()}
    if not expected:
        return alone, alone
    for candle, pairs in expected.items():
        _, state = answer(state, plan.items[candle], pairs)
    return alone, {candle: last_day(state, plan.items[candle], pairs, *days) for candle, pairs in each.items()}


def _unfilled(rows: Iterable[Demand], free: int) -> list[Demand]:
    left = []
    for row in rows:
        taken = min(free, row.pairs)
        free -= taken
        if row.pairs > taken:
            left.append(replace(row, pairs=row.pairs - taken))
    return left
