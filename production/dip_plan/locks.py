"""Baths that are not the plan's to choose: under frames that hang, pinned, or frozen. No Django."""

from production.dip_plan.problem import REHANG_TURNS, Problem, Stage


def locked_baths(problem: Problem) -> list[list[int]]:
    """By [vat][half] the bath it must hold, -1 where it is free: what hangs first, then pins, then what is frozen."""
    locked = [[-1] * len(problem.halves) for _ in problem.vats]
    for vat, row in enumerate(locked):
        until = _hanging_until(problem, vat)
        for place, half in enumerate(problem.halves):
            if half.starts < until:
                row[place] = problem.vats[vat].bath
    for pin in problem.vat_pins:
        _lock(problem, locked, pin.vat, pin.half, pin.bath)
    for pin in problem.frame_pins:
        stage = problem.items[pin.item].stages[0]
        for half in range(pin.half, _frame_until(problem, pin.half, stage)):
            _lock(problem, locked, pin.vat, half, stage.bath)
    if problem.frozen:
        for vat, row in enumerate(problem.frozen.baths):
            for half in range(min(problem.frozen.halves, len(row), len(problem.halves))):
                _lock(problem, locked, vat, half, row[half])
    return locked


def _lock(problem: Problem, locked: list[list[int]], vat: int, half: int, bath: int) -> None:
    """Locks a half-day that is free, with a bath that the vat may be filled with, or still holds."""
    row = locked[vat]
    if not 0 <= half < len(row) or row[half] >= 0:
        return
    holds_still = bath == problem.vats[vat].bath and all(held == bath for held in row[:half])
    if bath in problem.vats[vat].may_hold or holds_still:
        row[half] = bath


def _hanging_until(problem: Problem, vat: int) -> int:
    """Second of work at which the frames that hang over a vat are done if nothing is hung beside them."""
    left = [started.stages[0] for started in problem.started if started.vat == vat and started.stages]
    second, done = 0, 0
    for dips in sorted({stage.dips for stage in left}):
        hanging = [stage for stage in left if stage.dips > done]
        turn = max(*(stage.turn_s for stage in hanging), sum(stage.dip_s for stage in hanging))
        second = _after(problem, second, turn, dips - done)
        done = dips
    return second


def _frame_until(problem: Problem, half: int, stage: Stage) -> int:
    """The first half-day after a frame is done that is hung when `half` begins and turns as fast as it may."""
    turn = max(stage.turn_s, stage.dip_s)
    ends = _after(problem, problem.halves[half].starts, turn, stage.dips + REHANG_TURNS)
    return next((at for at, each in enumerate(problem.halves) if each.starts >= ends), len(problem.halves))


def _after(problem: Problem, second: int, turn: int, turns: int) -> int:
    """When so many turns are done that begin at `second`; the last day's end where the days do not suffice."""
    for day in problem.days:
        if second < day.ends:
            second = max(second, day.starts)
            fit = min(turns, (day.ends - second) // turn)
            turns -= fit
            second += fit * turn
            if turns == 0:
                return second
            second = day.ends
    return problem.days[-1].ends if problem.days else 0
