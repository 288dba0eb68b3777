"""What the plan that stands says of the first working day stays as it is, unless the owner says otherwise."""

from dataclasses import replace
from datetime import date, timedelta

from django.utils import timezone

from production.dip_plan.codec import problem_from_json
from production.dip_plan.problem import Frozen, Problem
from production.domain.dip_plan.days import AFTERNOON, MORNING, NOON, WorkClock
from production.models import DipPlan, PlannedFrame

HalfName = tuple[date, int]


def freeze_first_day(problem: Problem, clock: WorkClock, standing: DipPlan | None = None) -> Problem:
    """The problem with its first day held to the plan that stands; as it is where none stands or reaches that day.

    A vat over which frames hang half dipped keeps its bath, whatever the plan said: the floor went another way. Pins
    go before what is frozen.
    """
    standing = standing or DipPlan.objects.filter(stands=True).first()
    names = [name for name in clock.names if name[0] == clock.names[0][0]] if clock.names else []
    if standing is None or not names:
        return problem
    table = baths_by_half(standing, problem)
    if not any(name in row for row in table.values() for name in names):
        return problem
    pinned = {(pin.vat, pin.half): pin.bath for pin in problem.vat_pins}
    busy = {frame.vat for frame in problem.started if frame.vat >= 0}
    rows = []
    for place, vat in enumerate(problem.vats):
        row, before = [], vat.bath
        for half, name in enumerate(names):
            kept = vat.bath if place in busy and half == 0 else table.get(vat.key, {}).get(name, before)
            before = pinned.get((place, half), kept)
            row.append(before)
        rows.append(tuple(row))
    hang = _hang(standing, problem, clock, names)
    return replace(problem, frozen=Frozen(len(names), tuple(rows), hang))


def baths_by_half(plan: DipPlan, problem: Problem) -> dict[int, dict[HalfName, int]]:
    """By vat and half-day: the bath of an earlier plan, as a place in this problem. Baths it does not know are left
    out.
    """
    earlier = problem_from_json(plan.problem)
    names, places = half_names(earlier), {bath.key: place for place, bath in enumerate(problem.baths)}
    return {
        vat.key: {
            name: places[earlier.baths[bath].key]
            for name, bath in zip(names, row, strict=True)
            if earlier.baths[bath].key in places
        }
        for vat, row in zip(earlier.vats, plan.answer["baths"], strict=True)
    }


def carried_over(plan: DipPlan, problem: Problem, clock: WorkClock) -> tuple[tuple[int, ...], ...]:
    """The earlier plan's table of baths in this problem's vats and half-days; where it does not reach, a vat stays as
    it was.
    """
    table, rows = baths_by_half(plan, problem), []
    for vat in problem.vats:
        row, before = [], vat.bath
        for name in clock.names:
            before = table.get(vat.key, {}).get(name, before)
            row.append(before)
        rows.append(tuple(row))
    return tuple(rows)


def half_names(problem: Problem) -> list[HalfName]:
    """Day and MORNING or AFTERNOON of each half-day."""
    found = []
    for half in problem.halves:
        day = problem.days[half.day]
        local = timezone.localtime(day.opens + timedelta(seconds=half.starts - day.starts))
        found.append((day.date, MORNING if local.time() < NOON else AFTERNOON))
    return found


def _hang(standing: DipPlan, problem: Problem, clock: WorkClock, names: list[HalfName]):
    """Frames still to be threaded that it hangs on that day, as (item, vat, position, second). What was missed is not
    among them: the planner finds it another place.
    """
    items = {item.key: place for place, item in enumerate(problem.items)}
    vats = {vat.key: place for place, vat in enumerate(problem.vats)}
    rows = PlannedFrame.objects.filter(plan=standing, frame=None, starts__gte=clock.begins)
    found = []
    for row in rows.order_by("starts", "number"):
        if timezone.localdate(row.starts) == names[0][0] and row.candle_id in items and row.vat_id in vats:
            found.append((items[row.candle_id], vats[row.vat_id], row.position - 1, clock.second_of(row.starts)))
    return tuple(found)
