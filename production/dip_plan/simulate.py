"""A plan out of a table of baths, turn by turn. No Django.

`Bench` keeps a problem laid out for the loops (floor.py), so that many tables can be tried on it; `simulate` makes a
whole plan of one. Nothing but what was simulated is ever shown.
"""

from collections.abc import Sequence

from production.dip_plan import tables as t
from production.dip_plan.clock import nights
from production.dip_plan.evaluate import Baths, evaluate
from production.dip_plan.floor import floor_of
from production.dip_plan.plan import Cost, Hanging, Plan
from production.dip_plan.problem import LATE, MINUTE, OVER, Problem
from production.dip_plan.troubles import pins_missed, troubles
from production.dip_plan.turns import run_turns
from production.dip_plan.weigh import change_seconds, frames_over, late_groups, weigh

AHEAD = 24 * 3600  # seconds of work: how far ahead a frame that is not yet pressing is felt


class Bench:
    """A problem laid out: tables of baths, flat by [vat, half], are simulated on it one after the other."""

    def __init__(self, problem: Problem):
        self.problem = problem
        self.floor = floor_of(problem)
        self.numbers = t.flat(self.floor)
        self.run = t.new_run(self.numbers)
        self.no_push = [0] * (len(self.floor.slots) // t.SLOTS)

    def settle(self, baths: Sequence[Sequence[int]]) -> list[int]:
        """The table, flat, with the baths that are not the plan's to choose put right; a bath that a vat may not hold
        gives way to the one before it."""
        flat, halves = [], len(self.problem.halves)
        for at, (vat, row) in enumerate(zip(self.problem.vats, baths, strict=True)):
            before, left = vat.bath, False
            for lock, wished in zip(self.floor.locked[at * halves : (at + 1) * halves], row, strict=True):
                bath = lock if lock >= 0 else wished
                if bath not in vat.may_hold and (left or bath != vat.bath):
                    bath = before
                left = left or bath != vat.bath
                flat.append(bath)
                before = bath
        return flat

    def cost(self, flat: Sequence[int], rule: int = AHEAD, push: Sequence[int] | None = None) -> Cost:
        """Simulates a flat table; the rows stay in `run`."""
        floor, run = self.numbers, self.run
        run_turns(floor, run, flat, 0, -1, 1, rule, push or self.no_push)
        late = weigh(floor, run, -1) + late_groups(floor, run, run[t.IN_DONE])
        minutes, over = change_seconds(floor, flat, 0) // 60, frames_over(floor, run, -1)
        return Cost(late, minutes, over, LATE * late + MINUTE * minutes + OVER * over)

    def table(self, flat: Sequence[int]) -> Baths:
        halves = len(self.problem.halves)
        return tuple(tuple(flat[at * halves : (at + 1) * halves]) for at in range(len(self.problem.vats)))

    def plan(self, flat: Sequence[int], rule: int = AHEAD, push: Sequence[int] | None = None) -> Plan:
        """The whole plan of a flat table. `claimed` is what the loops believe it costs."""
        claimed = self.cost(flat, rule, push).total
        baths, hangings = self.table(flat), self.hangings()
        ready, fills, wants, cost = evaluate(self.problem, baths, hangings)
        said = (*troubles(self.problem), *pins_missed(self.problem, hangings))
        return Plan(baths, hangings, ready, fills, wants, cost, claimed, said=said)

    def hangings(self) -> tuple[Hanging, ...]:
        """What was hung last, frames numbered in the order in which they begin."""
        run, number = self.run, {}
        begins, count = run[t.IN_ROWS], run[run[t.IN_COUNT] + t.C_ROWS]
        rows = [run[begins + at * t.ROWS : begins + (at + 1) * t.ROWS] for at in range(count)]
        rows = sorted(
            (row for row in rows if row[t.K_ENDS] < t.NEVER),
            key=lambda row: (row[t.K_STARTS], row[t.K_VAT], row[t.K_POSITION]),
        )
        for row in rows:
            number.setdefault(row[t.K_FRAME], len(number))
        return tuple(self._hanging(row, number[row[t.K_FRAME]]) for row in rows)

    def _hanging(self, row: Sequence[int], frame: int) -> Hanging:
        op = self.floor.ops[row[t.K_OP] * t.OPS : (row[t.K_OP] + 1) * t.OPS]
        stage = row[t.K_OP]
        while self.floor.ops[stage * t.OPS + t.O_FRESH] == 0:
            stage -= 1
        starts, ends = int(row[t.K_STARTS]), int(row[t.K_ENDS])
        return Hanging(
            frame=frame,
            item=int(op[t.O_ITEM]),
            started=int(op[t.O_STARTED]),
            stage=int(row[t.K_OP] - stage),
            vat=int(row[t.K_VAT]),
            position=int(row[t.K_POSITION]),
            starts=starts,
            first=int(row[t.K_FIRST]),
            ends=ends,
            dips=int(op[t.O_DIPS]),
            nights=nights(self.problem.days, starts, ends),
        )


def simulate(
    problem: Problem, baths: Sequence[Sequence[int]], rule: int = AHEAD, push: Sequence[int] | None = None
) -> Plan:
    """The plan that a table of baths [vat][half] comes to when frames are hung by the rule.

    `rule`: seconds of work ahead at which a frame is felt; `push`: seconds by which the date of each slot's frame is
    put off in the ranking. Baths under frames that hang, pinned and frozen ones are put right first.
    """
    bench = Bench(problem)
    return bench.plan(bench.settle(baths), rule, push)
