"""Which baths can be simulated apart. No Django.

Baths depend on one another where a candle passes from one to the other, where a wax is too scarce for all that is
wanted of it, or where change-overs last longer than a half-day. Threading frames binds them, too, but only in a
half-day that has more to thread than hands: that is seen afterwards, and then all of it is simulated together.
"""

from production.dip_plan.problem import Problem
from production.dip_plan.workable import frames_needed


def parts_of(problem: Problem) -> list[int]:
    """The part of each bath, numbered from 0; baths of one part are simulated together."""
    head = list(range(len(problem.baths)))

    def find(bath: int) -> int:
        while head[bath] != bath:
            bath = head[bath]
        return bath

    def join(baths: list[int]) -> None:
        for bath in baths[1:]:
            head[find(bath)] = find(baths[0])

    for item in problem.items:
        join([stage.bath for stage in item.stages])
    for started in problem.started:
        baths = [stage.bath for stage in problem.items[started.item].stages[:1]]
        join(baths + [stage.bath for stage in started.stages])
    for scarce in _scarce(problem):
        join(scarce)
    shortest = min((half.ends - half.starts for half in problem.halves), default=0)
    if any(seconds > shortest for row in problem.change_s for seconds in row):
        join(head[:])  # such a change-over reaches into the next bath's time
    numbers = {}
    return [numbers.setdefault(find(bath), len(numbers)) for bath in range(len(problem.baths))]


def _scarce(problem: Problem) -> list[list[int]]:
    """First baths of the candles that share a wax of which there is less than their frames would take."""
    found = []
    for wax, grams in enumerate(problem.wax_g):
        uses = [(at, item) for at, item in enumerate(problem.items) if problem.baths[item.stages[-1].bath].wax == wax]
        pinned = [pin.item for pin in problem.frame_pins]
        pinned += [hang[0] for hang in problem.frozen.hang] if problem.frozen else []
        needed = sum((frames_needed(problem, at) + pinned.count(at)) * item.wax_g for at, item in uses)
        if grams is not None and needed > grams:
            found.append([item.stages[0].bath for _, item in uses])
    return found
