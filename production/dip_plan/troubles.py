"""What a plan cannot do, said plainly; the rest is planned. No Django."""

from collections import Counter
from collections.abc import Iterator

from production.dip_plan.clock import half_of
from production.dip_plan.locks import locked_baths
from production.dip_plan.plan import Hanging
from production.dip_plan.problem import Item, Problem
from production.dip_plan.workable import vats_for


def troubles(problem: Problem) -> tuple[str, ...]:
    """Sentences about what the problem itself rules out; `Problem.said` first."""
    return (*problem.said, *_of_hours(problem), *_of_items(problem), *_of_wants(problem), *_of_locks(problem))


def _of_hours(problem: Problem) -> Iterator[str]:
    if not problem.halves:
        yield "There are no working hours in these days, so nothing can be dipped."
    if not problem.wants:
        yield "Nothing is wanted of the floor."
    if not problem.vats:
        yield "There is no vat."


def _of_items(problem: Problem) -> Iterator[str]:
    wanted = {want.item for want in problem.wants if want.pairs > 0}
    found = (item_trouble(problem, problem.items[at]) for at in sorted(wanted))
    return (trouble for trouble in found if trouble)


def item_trouble(problem: Problem, item: Item) -> str:
    """Why a candle cannot be made at all; "" where it can."""
    for stage in item.stages:
        if vats_for(problem, item, stage) or not problem.days:
            continue
        bath = problem.baths[stage.bath].name
        holding = [vat for vat in problem.vats if stage.bath in vat.may_hold or stage.bath == vat.bath]
        if not holding:
            return f"{item.name}: no vat may hold {bath}."
        if all(vat.depth_mm < item.length_mm for vat in holding):
            deepest = max(vat.depth_mm for vat in holding)
            return f"{item.name} needs {item.length_mm} mm; the deepest vat for {bath} covers {deepest} mm."
        return f"{item.name}: a turn in {bath} takes longer than a working day."
    return ""


def _of_wants(problem: Problem) -> Iterator[str]:
    if not problem.days:
        return
    today = problem.days[0].date
    overdue = sum(want.pairs for want in problem.wants if want.due < today)
    if overdue:
        yield f"{overdue} pairs were due before today; they come as soon as they can."


def _of_locks(problem: Problem) -> Iterator[str]:
    if not problem.halves:
        return
    locked = locked_baths(problem)
    for pin in problem.vat_pins:
        held = locked[pin.vat][pin.half]
        if held != pin.bath:
            vat, wish = problem.vats[pin.vat].name, problem.baths[pin.bath].name
            why = f"it must hold {problem.baths[held].name} then" if held >= 0 else "it may not"
            yield f"{vat} cannot hold {wish} {half_words(problem, pin.half)}: {why}."


def pins_missed(problem: Problem, hangings: tuple[Hanging, ...]) -> Iterator[str]:
    """Pinned and frozen frames that a plan does not hang where they were to hang."""
    new = [row for row in hangings if row.started < 0 and row.stage == 0]
    exact = Counter((row.item, row.vat, half_of(problem, row.starts), row.position) for row in new)
    frozen = [
        (item, vat, half_of(problem, starts), position)
        for item, vat, position, starts in (problem.frozen.hang if problem.frozen else ())
    ]
    pins = [(pin.item, pin.vat, pin.half, pin.position) for pin in problem.frame_pins]
    for pin in sorted([*frozen, *pins], key=lambda pin: pin[3] < 0):
        keys = [key for key in exact if key[:3] == pin[:3] and pin[3] in (-1, key[3]) and exact[key] > 0]
        if keys:
            exact[keys[0]] -= 1
            continue
        item, vat, half, _ = pin
        where = f"over {problem.vats[vat].name} {half_words(problem, half)}"
        yield f"The frame of {problem.items[item].name} pinned {where} could not be hung there."


def half_words(problem: Problem, half: int) -> str:
    """ "on Mon 30 Nov, morning" """
    day = problem.days[problem.halves[half].day]
    first = half == 0 or problem.halves[half - 1].day != problem.halves[half].day
    later = half + 1 < len(problem.halves) and problem.halves[half + 1].day == problem.halves[half].day
    part = "morning" if first and later else "afternoon"
    return f"on {day.date:%a} {day.date.day} {day.date:%b}, {part}"
