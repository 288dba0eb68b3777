"""Second reading of the rules: pins, and half-days that are frozen. No Django."""

from collections import Counter
from collections.abc import Iterator

from production.dip_plan.plan import Hanging, Plan
from production.dip_plan.problem import Problem


def half_at(problem: Problem, second: int) -> int:
    """The half-day a second of work lies in; -1 for none."""
    for place, half in enumerate(problem.halves):
        if half.starts <= second < half.ends:
            return place
    return -1


def hung_before(problem: Problem, row: Hanging) -> bool:
    """Was it over its vat before the plan began?"""
    return row.stage == 0 and row.started >= 0 and problem.started[row.started].vat >= 0


def pin_faults(problem: Problem, plan: Plan) -> Iterator[str]:
    """Pins that are not kept though nobody said so, and frozen half-days that are not as they were."""
    for pin in problem.vat_pins:
        name = problem.vats[pin.vat].name
        if plan.baths[pin.vat][pin.half] != pin.bath and not _said(plan, name):
            yield f"{name} is pinned to {problem.baths[pin.bath].name} in half-day {pin.half}"
    unused = [row for row in plan.hangings if row.started < 0 and row.stage == 0]
    # The stricter pins choose first, so that a pin to anywhere does not take the frame of a pin to a position.
    for pin in sorted(problem.frame_pins, key=lambda pin: pin.position < 0):
        for row in unused:
            there = (row.item, row.vat, half_at(problem, row.starts)) == (pin.item, pin.vat, pin.half)
            if there and pin.position in (-1, row.position):
                unused.remove(row)
                break
        else:
            name = problem.vats[pin.vat].name
            if not _said(plan, name):
                yield f"a frame of {problem.items[pin.item].name} is pinned over {name} in half-day {pin.half}"
    if problem.frozen is not None:
        yield from _frozen_bath_faults(problem, plan)
        yield from _frozen_frame_faults(problem, plan, unused)


def _said(plan: Plan, name: str) -> bool:
    return any(name in sentence for sentence in plan.said)


def _frozen_bath_faults(problem: Problem, plan: Plan) -> Iterator[str]:
    """What hangs and what is pinned comes before what is frozen."""
    pinned = {(pin.vat, pin.half) for pin in problem.vat_pins}
    for vat, row in enumerate(problem.frozen.baths):
        for half in range(min(problem.frozen.halves, len(row))):
            excused = (vat, half) in pinned or _hangs_already(problem, plan, vat, half)
            if row[half] != plan.baths[vat][half] and not excused:
                yield f"{problem.vats[vat].name}, half-day {half}: frozen in another bath"


def _hangs_already(problem: Problem, plan: Plan, vat: int, half: int) -> bool:
    return any(
        row.vat == vat and hung_before(problem, row) and row.ends > problem.halves[half].starts
        for row in plan.hangings
    )


def _frozen_frame_faults(problem: Problem, plan: Plan, unpinned: list[Hanging]) -> Iterator[str]:
    """Just the frozen frames and the pinned ones are hung in frozen half-days."""
    frozen = problem.frozen
    until = problem.halves[frozen.halves - 1].ends if frozen.halves else 0
    early = sorted((row for row in unpinned if row.starts < until), key=lambda row: row.starts)
    asked = Counter((item, vat, position) for item, vat, position, _ in frozen.hang)
    hung = Counter((row.item, row.vat, row.position) for row in early)
    for item, vat, position in sorted((hung - asked).elements()):
        name = problem.items[item].name
        yield f"{name} is hung over {problem.vats[vat].name}, position {position}, in a frozen half-day"
    if len(plan.said) <= len(problem.said):
        for item, vat, position in sorted((asked - hung).elements()):
            name = problem.items[item].name
            yield f"the frozen frame of {name} over {problem.vats[vat].name}, position {position} is gone"
    earliest = {(item, vat, position): starts for item, vat, position, starts in reversed(frozen.hang)}
    for row in early:
        if row.starts < earliest.get((row.item, row.vat, row.position), 0):
            yield f"frame {row.frame}: hung before its frozen hour"
