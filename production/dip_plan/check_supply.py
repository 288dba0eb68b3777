"""Second reading of the rules: when frames are ready, what every want gets, and what the plan costs. No Django."""

from collections import Counter, defaultdict
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta

from production.dip_plan.plan import Plan, Ready, WantGets
from production.dip_plan.problem import LATE, MINUTE, OVER, UNFILLED_DAYS, Problem


def supply_faults(problem: Problem, plan: Plan) -> Iterator[str]:
    readies = list(_expected_ready(problem, plan))
    yield from _same("ready", {row.frame: row for row in readies}, {row.frame: row for row in plan.ready}, plan.ready)
    gets = _shared_out(problem, readies)
    claimed = Counter()
    for fill in plan.fills:
        claimed[fill.want, fill.frame, fill.ready] += fill.pairs
    for key in sorted(set(gets) | set(claimed), key=str):
        if gets[key] != claimed[key]:
            want, frame, _ = key
            yield f"want {want} gets {gets[key]} pairs of frame {frame}, the plan says {claimed[key]}"
    wants = [_expected_want(problem, at, gets, readies) for at in range(len(problem.wants))]
    wants = _whole_groups(problem, wants)
    yield from _same("want", {row.want: row for row in wants}, {row.want: row for row in plan.wants}, plan.wants)
    yield from _cost_faults(problem, plan, sum(row.late for row in wants))


def _same(what: str, expected: dict, claimed: dict, rows) -> Iterator[str]:
    if len(claimed) != len(rows):
        yield f"{what}: the same number stands twice"
    for key in sorted(set(expected) | set(claimed)):
        if expected.get(key) != claimed.get(key):
            yield f"{what} {key}: should be {expected.get(key)}, the plan says {claimed.get(key)}"


def clock_at_end(problem: Problem, second: int) -> datetime:
    """When work that ends with this second is done: the last second of a day is its closing time."""
    for day in problem.days:
        if day.starts < second <= day.ends:
            return day.opens + timedelta(seconds=second - day.starts)
    return problem.days[0].opens


def ready_day(problem: Problem, hard: datetime) -> date | None:
    """The day of the first working hour after `hard`; None after the last day."""
    return next((day.date for day in problem.days if hard < day.closes), None)


def _expected_ready(problem: Problem, plan: Plan) -> Iterator[Ready]:
    last = {}
    for row in plan.hangings:
        if row.frame not in last or row.stage > last[row.frame].stage:
            last[row.frame] = row
    timed = []
    for frame, row in last.items():
        whose = problem.started[row.started] if row.started >= 0 else problem.items[row.item]
        if row.stage + 1 < len(whose.stages):
            continue  # half dipped
        off = clock_at_end(problem, row.ends)
        timed.append((frame, row.item, row.started, off, harder(off, problem.items[row.item].harden_s)))
    for place, started in enumerate(problem.started):
        if started.hard_s >= 0:
            frame = next((row.frame for row in plan.ready if row.started == place), -1)
            begins = problem.days[0].opens
            timed.append((frame, started.item, place, begins, harder(begins, started.hard_s)))
    timed.sort(key=lambda row: (row[4], row[0]))
    new = Counter()
    for frame, item, started, off, hard in timed:
        day = ready_day(problem, hard)
        if day is None:
            continue
        if started >= 0:
            pairs = problem.started[started].spare + sum(pairs for _, pairs in problem.started[started].promised)
        else:
            new[item] += 1
            counted = problem.items[item].counted
            pairs = counted[min(new[item], len(counted) - 1)] - counted[min(new[item] - 1, len(counted) - 1)]
        yield Ready(frame, item, started, off, hard, day, pairs)


def harder(off: datetime, seconds: int) -> datetime:
    """So much later by the clock, also over the night when summer time ends."""
    return (off.astimezone(UTC) + timedelta(seconds=seconds)).astimezone(off.tzinfo)


def _shared_out(problem: Problem, readies: list[Ready]) -> Counter:
    """(want, frame, day) -> pairs. What a frame hung for goes there; the rest to the wants in their order."""
    gets = Counter()
    open_ = [want.pairs for want in problem.wants]
    by_item = defaultdict(list)
    for at, want in enumerate(problem.wants):
        by_item[want.item].append(at)
    for row in sorted(readies, key=lambda row: (row.ready, row.hard, row.frame)):
        pool = row.pairs
        if row.started >= 0:
            for want, pairs in problem.started[row.started].promised:
                gets[want, row.frame, row.ready] += pairs
                pool -= pairs
        for want in by_item[row.item]:
            pairs = min(pool, open_[want])
            if pairs:
                gets[want, row.frame, row.ready] += pairs
                open_[want] -= pairs
                pool -= pairs
    return gets


def _expected_want(problem: Problem, at: int, gets: Counter, readies: list[Ready]) -> WantGets:
    want = problem.wants[at]
    promised = sum(pairs for started in problem.started for place, pairs in started.promised if place == at)
    mine = [(day, pairs) for (place, _, day), pairs in gets.items() if place == at]
    open_ = want.pairs + promised - sum(pairs for _, pairs in mine)
    late = sum(pairs * max(0, (day - want.due).days) for day, pairs in mine)
    late += open_ * max(0, (never(problem) - want.due).days)
    done = max((day for day, _ in mine), default=None) if not open_ else None
    return WantGets(at, done, open_, late * want.weight)


def never(problem: Problem) -> date:
    return problem.days[problem.halves[-1].day].date + timedelta(days=UNFILLED_DAYS)


def _whole_groups(problem: Problem, wants: list[WantGets]) -> list[WantGets]:
    """Wants of one order that is worth nothing before it is complete are all done when the last of them is."""
    groups = defaultdict(list)
    for at, want in enumerate(problem.wants):
        if want.whole:
            groups[want.group or at].append(at)
    promised = Counter()
    for started in problem.started:
        promised.update(dict(started.promised))
    for places in groups.values():
        days = [wants[at].done for at in places if problem.wants[at].pairs + promised[at]]
        done = None if None in days else max(days, default=None)
        for at in places:
            want = problem.wants[at]
            pairs = want.pairs + promised[at]
            late = max(0, ((done or never(problem)) - want.due).days) * pairs * want.weight
            wants[at] = WantGets(at, done if pairs else None, wants[at].open, late)
    return wants


def _cost_faults(problem: Problem, plan: Plan, late: int) -> Iterator[str]:
    seconds = 0
    for vat, row in zip(problem.vats, plan.baths, strict=True):
        seconds += sum(problem.change_s[a][b] for a, b in zip((vat.bath, *row), row, strict=False) if a != b)
    over = _over(problem, plan)
    minutes = seconds // 60
    total = LATE * late + MINUTE * minutes + OVER * over
    expected = {"late": late, "change_minutes": minutes, "over": over, "total": total}
    for name, value in expected.items():
        if getattr(plan.cost, name) != value:
            yield f"cost, {name}: should be {value}, the plan says {getattr(plan.cost, name)}"


def _over(problem: Problem, plan: Plan) -> int:
    """New frames of each item beyond the fewest whose firsts, with the spares, are counted on for all its wants."""
    over = 0
    hung = Counter(row.item for row in plan.hangings if row.started < 0 and row.stage == 0)
    for at, frames in hung.items():
        short = sum(want.pairs for want in problem.wants if want.item == at)
        short -= sum(started.spare for started in problem.started if started.item == at)
        counted = problem.items[at].counted
        fewest = next((n for n, firsts in enumerate(counted) if firsts >= short), len(counted) - 1)
        over += max(0, frames - fewest)
    return over
