"""A problem as rows of whole numbers (tables.py). No Django."""

from collections.abc import Iterator
from math import exp

from production.dip_plan import tables as t
from production.dip_plan.clock import later, ready_on, unfilled_date
from production.dip_plan.locks import locked_baths
from production.dip_plan.parts import parts_of
from production.dip_plan.problem import REHANG_TURNS, Item, Problem, Stage
from production.dip_plan.workable import fits_anywhere, frame_dues, frames_needed, second_off_by

DECAY = [round((1 << 20) * exp(-step / 32)) for step in range(256)]  # how a frame that is not pressing yet pales


def floor_of(problem: Problem) -> t.Floor:
    """Lays a problem out for the loops. Units as there: seconds of work, seconds by the clock, ordinals of dates."""
    rows = _Ops(problem)
    parts = parts_of(problem)
    groups, group_of = _groups(problem)
    by_item = [
        [at for at, want in enumerate(problem.wants) if want.item == item] for item in range(len(problem.items))
    ]
    bath_ops = [[o for o, op in enumerate(rows.ops) if op[t.O_BATH] == bath] for bath in range(len(problem.baths))]
    promised = _running([started.promised for started in problem.started])
    size = _size(problem, rows, groups, max(parts, default=-1) + 1)
    return t.Floor(
        size=size,
        days=_flat(_day_rows(problem)),
        halves=_flat(_half_rows(problem)),
        vats=_flat((vat.positions, vat.depth_mm, vat.bath) for vat in problem.vats),
        change=_flat(problem.change_s),
        baths=_flat(_bath_rows(parts, _running(bath_ops))),
        bath_ops=_flat(bath_ops),
        ops=_flat(rows.ops),
        slots=_flat(rows.slots),
        hung=_flat(rows.hung),
        pins=_flat(_pin_rows(problem, rows)),
        items=_flat(_item_rows(problem, rows, parts, _running(by_item))),
        counted=_flat(item.counted for item in problem.items),
        item_wants=_flat(by_item),
        wants=_flat(_want_rows(problem, group_of)),
        started=_flat(_started_rows(problem, parts, promised)),
        promised=[number for started in problem.started for row in started.promised for number in row],
        wax=[t.NEVER if grams is None else grams for grams in problem.wax_g],
        decay=list(DECAY),
        groups=_running(groups),
        group_wants=_flat(groups),
        locked=_flat(locked_baths(problem)),
        may=[int(bath in vat.may_hold) for vat in problem.vats for bath in range(len(problem.baths))],
    )


def _half_rows(problem: Problem) -> list[tuple]:
    return [
        (half.starts, half.ends, half.day, threads)
        for half, threads in zip(problem.halves, problem.threads, strict=True)
    ]


def _bath_rows(parts: list[int], begins: list[int]) -> list[tuple]:
    return [(part, begins[bath], begins[bath + 1]) for bath, part in enumerate(parts)]


def _item_rows(problem: Problem, rows: "_Ops", parts: list[int], begins: list[int]) -> list[tuple]:
    counted = _running([item.counted for item in problem.items])
    return [
        (
            item.harden_s,
            counted[at],
            item.most_frames,
            rows.need[at],
            begins[at],
            begins[at + 1],
            parts[item.stages[0].bath],
        )
        for at, item in enumerate(problem.items)
    ]


def _flat(rows) -> list[int]:
    return [number for row in rows for number in row]


def _running(rows) -> list[int]:
    """Where each row begins in the flat list, and where the last one ends."""
    found = [0]
    for row in rows:
        found.append(found[-1] + len(row))
    return found


def _size(problem: Problem, rows: "_Ops", groups: list, parts: int) -> list[int]:
    pins = len(problem.frame_pins) + (len(problem.frozen.hang) if problem.frozen else 0)
    numbers = [len(problem.vats), len(problem.halves), len(problem.days), len(problem.baths), len(rows.ops)]
    numbers += [
        len(problem.items),
        len(problem.wants),
        len(problem.started),
        pins,
        len(rows.slots),
        len(groups),
        parts,
    ]
    frozen = problem.frozen.halves if problem.frozen else 0
    places = max((vat.positions for vat in problem.vats), default=0)
    numbers += [frozen, problem.horizon, unfilled_date(problem).toordinal(), places]
    return [*numbers, len(rows.hung), len(problem.wax_g)]


def _day_rows(problem: Problem) -> Iterator[tuple[int, ...]]:
    for day in problem.days:
        opens, closes = int(day.opens.timestamp()), int(day.closes.timestamp())
        yield day.starts, day.ends, opens, closes, day.date.toordinal()


def _groups(problem: Problem) -> tuple[list[list[int]], list[int]]:
    """Wants by whole group, and the group of each want; -1 where it counts pair by pair."""
    groups = {}
    for at, want in enumerate(problem.wants):
        if want.whole:
            groups.setdefault(want.group or f"\0{at}", []).append(at)  # without a group it is its own
    group_of = [-1] * len(problem.wants)
    for place, wants in enumerate(groups.values()):
        for at in wants:
            group_of[at] = place
    return list(groups.values()), group_of


def _want_rows(problem: Problem, group_of: list[int]) -> Iterator[tuple[int, ...]]:
    promised = [0] * len(problem.wants)
    for started in problem.started:
        for want, pairs in started.promised:
            promised[want] += pairs
    for at, want in enumerate(problem.wants):
        due = want.due.toordinal()
        yield want.pairs, due, want.weight, group_of[at], want.pairs + promised[at], want.item


def _started_rows(problem: Problem, parts: list[int], promised: list[int]) -> Iterator[tuple[int, ...]]:
    for at, started in enumerate(problem.started):
        ready = -1
        if started.hard_s >= 0 and problem.days:
            date = ready_on(problem.days, later(problem.days[0].opens, started.hard_s))
            ready = next((place for place, day in enumerate(problem.days) if day.date == date), -1)
        part = parts[problem.items[started.item].stages[0].bath]
        yield started.item, started.spare, ready, promised[at], promised[at + 1], part


def _pin_rows(problem: Problem, rows: "_Ops") -> Iterator[tuple[int, ...]]:
    for pin in problem.frame_pins:
        starts = problem.halves[pin.half].starts
        yield pin.vat, pin.half, pin.position, rows.first_op[pin.item], starts
    for item, vat, position, starts in problem.frozen.hang if problem.frozen else ():
        half = next((at for at, half in enumerate(problem.halves) if starts < half.ends), 0)
        yield vat, half, position, rows.first_op[item], starts


class _Ops:
    """Every stage of every candle and started frame, with a slot for each frame that may pass through it."""

    def __init__(self, problem: Problem):
        self.problem = problem
        self.ops, self.slots, self.hung, self.need, self.first_op = [], [], [], [], []
        pins = [pin.item for pin in problem.frame_pins]
        pins += [item for item, *_ in problem.frozen.hang] if problem.frozen else []
        for at, item in enumerate(problem.items):
            self._add_item(at, item, pins.count(at))
        for at, started in enumerate(problem.started):
            if started.stages and started.hard_s < 0:
                self._add_started(at)

    def _add_item(self, at: int, item: Item, pinned: int) -> None:
        self.need.append(frames_needed(self.problem, at))
        self.first_op.append(len(self.ops))
        count = max(0, self.need[at] - pinned) if fits_anywhere(self.problem, item) else 0
        frames = self.need[at] + pinned
        dues = list(frame_dues(self.problem, at, frames))
        wax = self.problem.baths[item.stages[-1].bath].wax
        self._add_stages(at, item.stages, -1, dues, count, (wax, item.wax_g))

    def _add_started(self, at: int) -> None:
        started = self.problem.started[at]
        item = self.problem.items[started.item]
        dues = [second_off_by(self.problem, item, self.problem.wants[want].due) for want, _ in started.promised]
        worth = sum(pairs * self.problem.wants[want].weight for want, pairs in started.promised) + started.spare
        hangs = started.vat >= 0
        self._add_stages(
            started.item, started.stages, at, [(min(dues, default=0), max(1, worth))], 0 if hangs else 1, (0, 0)
        )
        if hangs:
            op = len(self.ops) - len(started.stages)
            self.hung.append((started.vat, started.position, op))

    def _add_stages(self, item: int, stages: tuple[Stage, ...], started: int, dues: list, count: int, wax) -> None:
        depth = self.problem.items[item].length_mm
        for at, stage in enumerate(stages):
            ahead = sum((onward.dips + REHANG_TURNS) * onward.turn_s for onward in stages[at:])
            onward = len(self.ops) + 1 if at + 1 < len(stages) else -1
            new, fresh = int(started < 0 and at == 0), int(at == 0)
            turns = stage.dips + REHANG_TURNS
            row = (stage.bath, stage.dips, turns, stage.turn_s, stage.dip_s, depth, onward, item, ahead)
            row += (len(self.slots), new, started, count if at == 0 else 0, *wax, fresh)
            self.ops.append(row)
            self.slots += dues
