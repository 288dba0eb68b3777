"""What the plan that stands says of the first working day stays as it is, unless the owner says otherwise."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, timedelta

from django.utils import timezone

from production.dip_plan.codec import problem_from_json
from production.dip_plan.problem import Frozen, Problem, VatPin
from production.domain.dip_plan.days import AFTERNOON, MORNING, NOON, WorkClock
from production.models import DipPlan, PlannedFrame

HalfName = tuple[date, int]
Baths = tuple[tuple[int, ...], ...]  # [vat][half-day]
BEHIND = timedelta(minutes=30)  # a frame not threaded half an hour after it was to hang was missed


def freeze_first_day(problem: Problem, clock: WorkClock, standing: DipPlan | None = None) -> Problem:
    """The problem with its first day held to the plan that stands; as it is where none stands or reaches that day.

    Held are colours and the frames still to be threaded. Where the floor is behind by more than BEHIND, colours alone:
    frames that were missed have to find other hours. A vat over which frames hang half dipped keeps its bath, whatever
    the plan said: the floor went another way. Pins go before what is held.
    """
    standing = standing or DipPlan.objects.filter(stands=True).first()
    names = [name for name in clock.names if name[0] == clock.names[0][0]] if clock.names else []
    if standing is None or not names:
        return problem
    table = baths_by_half(standing, problem)
    if not any(name in row for row in table.values() for name in names):
        return problem
    rows = _first_day(problem, names, table)
    waiting = PlannedFrame.objects.filter(plan=standing, frame=None, starts__lt=clock.days[0].closes)
    if waiting.filter(starts__lt=clock.begins - BEHIND).exists():
        pinned = {(pin.vat, pin.half) for pin in problem.vat_pins}
        held = [VatPin(vat, half, bath) for vat, row in enumerate(rows) for half, bath in enumerate(row)]
        more = [pin for pin in held if (pin.vat, pin.half) not in pinned]
        return replace(problem, vat_pins=(*problem.vat_pins, *more))
    hang = _hang(waiting.order_by("starts", "number"), problem, clock)
    return replace(problem, frozen=Frozen(len(names), rows, hang))


def _first_day(problem: Problem, names: list[HalfName], table: dict[int, dict[HalfName, int]]) -> Baths:
    pinned = {(pin.vat, pin.half): pin.bath for pin in problem.vat_pins}
    busy = {frame.vat for frame in problem.started if frame.vat >= 0}
    rows = []
    for place, vat in enumerate(problem.vats):
        row, before = [], vat.bath
        for half, name in enumerate(names):
            kept = vat.bath if place in busy and half == 0 else table.get(vat.key, {}).get(name, before)
            # A vat may hold fewer waxes than when that was planned.
            before = pinned.get((place, half), kept if kept in vat.may_hold else before)
            row.append(before)
        rows.append(tuple(row))
    return tuple(rows)


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


def carried_over(plan: DipPlan, problem: Problem, clock: WorkClock) -> Baths:
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


def _hang(
    waiting: Iterable[PlannedFrame], problem: Problem, clock: WorkClock
) -> tuple[tuple[int, int, int, int], ...]:
    """(item, vat, position, second before which it is not hung) of each."""
    items = {item.key: place for place, item in enumerate(problem.items)}
    vats = {vat.key: place for place, vat in enumerate(problem.vats)}
    return tuple(
        (items[row.candle_id], vats[row.vat_id], row.position - 1, clock.second_of(row.starts))
        for row in waiting
        if row.candle_id in items and row.vat_id in vats and row.position <= problem.vats[vats[row.vat_id]].positions
    )
