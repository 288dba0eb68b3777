"""The best plan there is, to the turn, for floors small enough. No Django.

One constraint model (CP-SAT, one worker): the bath of every vat and half-day, and for every frame that the wants may
need over which vat it hangs, from which turn. Only for even floors (half_days.py): there a frame begins on a whole
turn, or might as well. Wants that are worth nothing before a group is whole are not known to it.
"""

from dataclasses import dataclass

import numpy as np
from ortools.sat.python import cp_model

from production.dip_plan.backlog import certain_cost, frame_backlog, ready_day
from production.dip_plan.half_days import turn_of
from production.dip_plan.problem import LATE, REHANG_TURNS, Problem

MINUTE_PARTS = 60  # costs are counted in sixtieths of a minute, so that change-overs need no rounding


@dataclass(frozen=True)
class Exact:
    """`cost` of the best plan found, `least` of any plan; the same where `proven`. `baths` by [vat][half]."""

    cost: int
    least: int
    proven: bool
    baths: tuple[tuple[int, ...], ...]


def optimum(problem: Problem, effort: float = 20.0) -> Exact:
    """`effort` in deterministic seconds; ArithmeticError where it finds no plan at all, which happens from a hundred
    frames on. ValueError for a floor that is not even, or has whole groups."""
    turn = turn_of(problem)
    if turn is None or any(want.whole for want in problem.wants):
        raise ValueError("the best plan to the turn is known for floors of equal turns and wants by the pair only")
    model = _Model(problem, turn)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_deterministic_time = effort
    status = solver.solve(model.cp)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        raise ArithmeticError("so little effort finds no plan")
    cost, least = (
        model.fixed + int(value // MINUTE_PARTS) for value in (solver.objective_value, solver.best_objective_bound)
    )
    baths = tuple(
        tuple(next(bath for bath in row[half] if solver.value(row[half][bath])) for half in range(len(row)))
        for row in model.holds
    )
    return Exact(cost, least, status == cp_model.OPTIMAL, baths)


class _Model:
    def __init__(self, problem: Problem, turn: int):
        self.problem, self.turn = problem, turn
        self.cp, self.goal = cp_model.CpModel(), []
        self.fixed = certain_cost(problem)
        self.starts = [half.starts // turn for half in problem.halves]
        self.ends = [half.ends // turn for half in problem.halves]
        self.over = [[] for _ in problem.vats]  # what hangs over each vat, as intervals
        self.by_half = [[] for _ in problem.halves]  # new frames hung in it
        self.frames = []
        self._baths()
        self._hanging()
        for item in range(len(problem.items)):
            self._item(item)
        self._limits()
        self.cp.minimize(sum(self.goal))

    def _baths(self) -> None:
        """holds[vat][half][bath]; changes[vat][half][a, b] for a change at the start of the half-day."""
        problem, cp = self.problem, self.cp
        self.holds = [
            [{bath: cp.new_bool_var("") for bath in sorted({vat.bath, *vat.may_hold})} for _ in problem.halves]
            for vat in problem.vats
        ]
        self.changes = [[{} for _ in problem.halves] for _ in problem.vats]
        for at, vat in enumerate(problem.vats):
            before = {vat.bath: cp.new_constant(1)}
            for half, holds in enumerate(self.holds[at]):
                cp.add_exactly_one(holds.values())
                for a, was in before.items():
                    for b, now in holds.items():
                        if a != b and b not in vat.may_hold:
                            cp.add_bool_or(was.negated(), now.negated())
                        elif a != b:
                            self._change(at, half, (a, b), was, now)
                before = holds

    def _change(self, vat: int, half: int, pair: tuple[int, int], was, now) -> None:
        change = self.cp.new_bool_var("")
        self.cp.add_bool_or(was.negated(), now.negated(), change)
        self.cp.add_implication(change, was)
        self.cp.add_implication(change, now)
        self.changes[vat][half][pair] = change
        self.goal.append(self.problem.change_s[pair[0]][pair[1]] * change)
        # A change-over longer than its half-day goes on in the next ones.
        for later in range(half, len(self.ends)):
            ready = self.starts[half] + self.problem.change_s[pair[0]][pair[1]] // self.turn
            if later > half and ready > self.starts[later]:
                self.changes[vat][later][half, *pair] = change

    def _hanging(self) -> None:
        """Frames that hang already keep their vat in its bath."""
        for started in self.problem.started:
            if started.vat < 0 and started.hard_s < 0:
                raise ValueError("frames that wait half dipped are not known here")
            if started.vat >= 0:
                turns = started.stages[0].dips
                self.over[started.vat].append(self.cp.new_fixed_size_interval_var(0, turns, ""))
                bath = started.stages[0].bath
                for half, begins in enumerate(self.starts):
                    if begins < turns:
                        self.cp.add(self.holds[started.vat][half][bath] == 1)

    def _item(self, at: int) -> None:
        """Its frames in the order in which they are done; each may hang over any vat that fits, or not at all."""
        problem, cp = self.problem, self.cp
        item, table = problem.items[at], LATE * MINUTE_PARTS * frame_backlog(problem, at)
        most = int(np.argmin(table[-1]))
        turns = item.stages[0].dips + REHANG_TURNS
        last = self.ends[-1] + turns
        seen = self._last_turns(item.harden_s, len(table))
        before = None
        self.fixed += int(table[:, 0].sum()) // MINUTE_PARTS
        for number in range(most):
            ends = cp.new_int_var(turns, last, "")
            hung = cp.new_bool_var("")
            cp.add(ends == last).only_enforce_if(hung.negated())
            if before is not None:
                cp.add(ends >= before)
            before = ends
            self.frames.append((at, hung))
            self._places(at, turns, ends, hung)
            for day, turn in enumerate(seen):
                gain = int(table[day, number + 1] - table[day, number])
                if turn >= turns and gain:
                    done = cp.new_bool_var("")
                    cp.add(ends <= turn).only_enforce_if(done)
                    cp.add(ends > turn).only_enforce_if(done.negated())
                    self.goal.append(gain * done)

    def _last_turns(self, harden_s: int, days: int) -> list[int]:
        """For each calendar day the last turn at whose end a frame may be done to be there on it; -1 for none."""
        begins = self.problem.days[0].date
        latest = [-1] * days
        for turn in range(1, self.ends[-1] + 1):
            # The last second of the turn: the end of a day is its closing time.
            day = ready_day(self.problem, turn * self.turn - 1, harden_s + 1)
            for later in range(days if day is None else (day - begins).days, days):
                latest[later] = turn
        return latest

    def _places(self, at: int, turns: int, ends, hung) -> None:
        """One literal a vat and pair of half-days that it is hung and done in: then the baths are known to fit."""
        problem, cp = self.problem, self.cp
        bath, choices = problem.items[at].stages[0].bath, []
        for vat, holds in enumerate(self.holds):
            if problem.vats[vat].depth_mm < problem.items[at].length_mm or bath not in holds[0]:
                continue
            here = []
            for first, begins in enumerate(self.starts):
                for done in range(first, len(self.ends)):
                    if self.ends[done] - begins < turns or self.starts[done] - self.ends[first] + 2 > turns:
                        continue
                    place = cp.new_bool_var("")
                    cp.add(ends - turns >= begins).only_enforce_if(place)
                    cp.add(ends - turns < self.ends[first]).only_enforce_if(place)
                    cp.add(ends <= self.ends[done]).only_enforce_if(place)
                    self._baths_fit(vat, bath, first, done, place, ends - turns)
                    self.by_half[first].append(place)
                    here.append(place)
            over = cp.new_bool_var("")
            cp.add(sum(here) == over)
            self.over[vat].append(cp.new_optional_fixed_size_interval_var(ends - turns, turns, over, ""))
            choices.append(over)
        cp.add(sum(choices) == hung)

    def _baths_fit(self, vat: int, bath: int, first: int, done: int, place, starts) -> None:
        for half in range(first, done + 1):
            self.cp.add_implication(place, self.holds[vat][half][bath])
        for key, change in self.changes[vat][first].items():
            half, (a, b) = (first, key) if len(key) == 2 else (key[0], key[1:])
            ready = self.starts[half] + self.problem.change_s[a][b] // self.turn
            if b == bath:
                self.cp.add(starts >= ready).only_enforce_if([place, change])

    def _limits(self) -> None:
        problem, cp = self.problem, self.cp
        for vat, hanging in zip(problem.vats, self.over, strict=True):
            cp.add_cumulative(hanging, [1] * len(hanging), vat.positions)
        for places, threads in zip(self.by_half, problem.threads, strict=True):
            cp.add(sum(places) <= threads)
        for wax, grams in enumerate(problem.wax_g):
            if grams is not None:
                cp.add(
                    sum(problem.items[at].wax_g * hung for at, hung in self.frames if self._wax(at) == wax) <= grams
                )

    def _wax(self, at: int) -> int:
        return self.problem.baths[self.problem.items[at].stages[-1].bath].wax
