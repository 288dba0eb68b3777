"""A floor by half-days: colours of vats, and frames that start in one half-day and end in another. No Django.

Of the turns this much is kept: in which half-day a frame is hung and in which it is done, how many turns it takes in
each, that it keeps its position in between and its vat its bath, and how many turns there are. What is given up is the
order within a half-day. So no plan is better than the best answer here: a bound, and on small floors a near one.

Only for even floors: every turn takes the same time, and opening times, half-days and change-overs are whole turns.
"""

from dataclasses import dataclass
from datetime import timedelta
from itertools import pairwise
from math import ceil

import numpy as np
from ortools.math_opt.python import mathopt

from production.dip_plan.backlog import certain_cost, frame_backlog, ready_day
from production.dip_plan.problem import LATE, REHANG_TURNS, Problem


@dataclass(frozen=True)
class Span:
    """Frames hung in one half-day and done `halves` later. `first`, `last`: turns they can take in the first one."""

    halves: int
    before: int  # turns of the half-days before the last one
    first: int
    last: int


def turn_of(problem: Problem) -> int | None:
    """Seconds of a turn where the floor is even, else None."""
    turns = {stage.turn_s for item in problem.items for stage in item.stages}
    turns |= {stage.turn_s for started in problem.started for stage in started.stages}
    if len(turns) != 1 or any(len(item.stages) != 1 for item in problem.items):
        return None
    turn = turns.pop()
    dip = max((stage.dip_s for item in problem.items for stage in item.stages), default=0)
    crowded = any(vat.positions * dip > turn for vat in problem.vats)
    edges = [day.ends for day in problem.days] + [half.starts for half in problem.halves] + [problem.horizon]
    edges += [seconds for row in problem.change_s for seconds in row]
    return None if crowded or any(edge % turn for edge in edges) else turn


def spans(lengths: list[int], half: int, turns: int) -> list[Span]:
    """The ways in which a frame of so many turns, hung in that half-day, can lie in the half-days."""
    found, before = [], 0
    for more, length in enumerate(lengths[half:]):
        earliest = max(0, before - turns + 1)  # turn of the first half-day in which it is hung
        latest = min(lengths[half] - 1, before + length - turns)
        if earliest <= latest:
            found.append(Span(more, before, lengths[half] - latest, lengths[half] - earliest))
        before += length
        if before >= lengths[half] + turns:
            break
    return found


class HalfDays:
    """The integer programme of an even floor. ValueError where it is not even."""

    def __init__(self, problem: Problem):
        turn = turn_of(problem)
        if turn is None:
            raise ValueError("turns of this floor are not all alike")
        self.problem, self.turn = problem, turn
        self.model = mathopt.Model()
        self.lengths = [(half.ends - half.starts) // turn for half in problem.halves]
        self.positions = max(vat.positions for vat in problem.vats)
        self.goal, self.fixed = [], float(certain_cost(problem))
        self._vats()
        self._frames()
        for bath in range(len(problem.baths)):
            self._room(bath)
        for item in range(len(problem.items)):
            self._backlog(item)
        self.model.minimize(mathopt.fast_sum(self.goal))

    def _vats(self) -> None:
        """moves[a, b, h]: vats that go from bath a to b at the start of half-day h, or stay."""
        problem, baths = self.problem, range(len(self.problem.baths))
        self.moves = {}
        for half in range(len(problem.halves)):
            for a in baths:
                for b in baths:
                    move = self.model.add_integer_variable(lb=0, ub=len(problem.vats))
                    self.moves[a, b, half] = move
                    self.goal.append(problem.change_s[a][b] / 60 * move)
            for a in baths:
                there = sum(vat.bath == a for vat in problem.vats)
                if half:
                    there = mathopt.fast_sum(self.moves[b, a, half - 1] for b in baths)
                self.model.add_linear_constraint(mathopt.fast_sum(self.moves[a, b, half] for b in baths) - there == 0)

    def _frames(self) -> None:
        """hung[i, h, span]: frames; taken: turns they take in the first half-day all together."""
        self.hung, self.taken = {}, {}
        for at, item in enumerate(self.problem.items):
            turns = item.stages[0].dips + REHANG_TURNS
            for half in range(len(self.lengths)):
                for span in spans(self.lengths, half, turns):
                    frames = self.model.add_integer_variable(lb=0, ub=self.positions * len(self.problem.vats) * 40)
                    self.hung[at, half, span] = frames
                    if span.halves:
                        taken = self.model.add_variable(lb=0)
                        self.model.add_linear_constraint(taken >= span.first * frames)
                        self.model.add_linear_constraint(taken <= span.last * frames)
                        self.taken[at, half, span] = taken

    def _turns_taken(self, half: int, key: tuple) -> mathopt.LinearTypes:
        """Turns that the frames of one kind take in a half-day."""
        item, from_, span = key
        frames, turns = self.hung[key], self.problem.items[item].stages[0].dips + REHANG_TURNS
        if not span.halves:
            return turns * frames
        if half == from_:
            return self.taken[key]
        if half < from_ + span.halves:
            return self.lengths[half] * frames
        return (turns - span.before + self.lengths[from_]) * frames - self.taken[key]

    def _room(self, bath: int) -> None:
        """Turns on positions of the vats in this bath, and frames that hang from one half-day into the next."""
        problem, baths = self.problem, range(len(self.problem.baths))
        mine = [key for key in self.hung if problem.items[key[0]].stages[0].bath == bath]
        for half, length in enumerate(self.lengths):
            here = [key for key in mine if key[1] <= half <= key[1] + key[2].halves]
            there, hanging = self._started(bath, half)
            room = [
                self.positions * max(0, length - problem.change_s[a][bath] // self.turn) * self.moves[a, bath, half]
                for a in baths
            ]
            used = mathopt.fast_sum(self._turns_taken(half, key) for key in here)
            self.model.add_linear_constraint(used + there <= mathopt.fast_sum(room))
            stays = self.positions * self.moves[bath, bath, half]
            over = [self.hung[key] for key in here if key[1] < half]
            self.model.add_linear_constraint(mathopt.fast_sum(over) + hanging <= stays)
            # Hung before any change-over into this bath can be done, a frame hangs over a vat that stays; one such
            # frame a position, unless it is done sooner than a change-over.
            setup = min((problem.change_s[a][bath] for a in baths if a != bath), default=0) // self.turn
            early = [
                self.hung[key]
                for key in here
                if key[1] == half and length - key[2].first < setup <= problem.items[key[0]].stages[0].dips
            ]
            self.model.add_linear_constraint(mathopt.fast_sum(early) <= stays)

    def _started(self, bath: int, half: int) -> tuple[int, int]:
        """Turns taken by what hung before the plan began, and how many of it hang at the start of the half-day."""
        begins, turns, hanging = sum(self.lengths[:half]), 0, 0
        for started in self.problem.started:
            if started.vat >= 0 and started.stages and started.stages[0].bath == bath:
                left = started.stages[0].dips - begins
                turns += max(0, min(left, self.lengths[half]))
                hanging += left > 0
        return turns, hanging

    def _backlog(self, item: int) -> None:
        """done[day][n]: n frames or more are done in time for the days from there on."""
        table = LATE * frame_backlog(self.problem, item)
        most = int(np.argmin(table[-1]))
        begins, before = self.problem.days[0].date, []
        seen = [self._seen(half, item, begins, len(table)) for half in range(len(self.lengths))]
        self.fixed += table[: seen[0], 0].sum()
        for from_, until in zip(sorted(set(seen)), [*sorted(set(seen))[1:], len(table)], strict=True):
            cost = table[from_:until].sum(axis=0)
            self.fixed += cost[0]
            done = [self.model.add_binary_variable() for _ in range(most)]
            self.goal += [(cost[n + 1] - cost[n]) * row for n, row in enumerate(done)]
            ended = [self.hung[key] for key in self.hung if key[0] == item and seen[key[1] + key[2].halves] <= from_]
            self.model.add_linear_constraint(mathopt.fast_sum(done) - mathopt.fast_sum(ended) <= 0)
            for fewer, more in pairwise(done):
                self.model.add_linear_constraint(more - fewer <= 0)
            for earlier, row in zip(before, done, strict=False):
                self.model.add_linear_constraint(earlier - row <= 0)
            before = done

    def _seen(self, half: int, item: int, begins, days: int) -> int:
        day = ready_day(self.problem, self.problem.halves[half].starts, self.problem.items[item].harden_s)
        return days if day is None else min(days, (day - begins).days)


def least_by_half_days(problem: Problem, seconds: float) -> int:
    """A cost that no plan is below: the best that the programme proves in so many seconds (HiGHS). 0 at the least;
    ValueError where the floor is not even."""
    floor = HalfDays(problem)
    limit = mathopt.SolveParameters(time_limit=timedelta(seconds=seconds))
    found = mathopt.solve(floor.model, mathopt.SolverType.HIGHS, params=limit)
    least = found.termination.objective_bounds.dual_bound + floor.fixed
    return max(0, ceil(least - 1e-3))
