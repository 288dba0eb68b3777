"""A first plan, at once: colour after colour by what presses most. No Django.

Whenever a vat is free, each bath it may hold is weighed by the frames that are due within a window: weighted pairs
that press, for the half-days they take and the change-over before them. The best is held for as long as its frames
need. Several windows are tried, each is simulated, and the cheapest is the plan.
"""

from production.dip_plan import tables as t
from production.dip_plan.plan import Plan
from production.dip_plan.problem import Problem
from production.dip_plan.simulate import AHEAD, Bench

WINDOWS = (3, 7)  # half-days ahead; more of them cost more than they gain (measured on the season)
MANY = 2000  # frames from which on one window is tried: the plan is to be shown at once


def construct(problem: Problem) -> Plan:
    """The cheapest of the first plans; with nothing to dip or no hours, an empty one that says so."""
    return construct_on(Bench(problem))


def construct_on(bench: Bench) -> Plan:
    frames = len(bench.no_push)
    windows = WINDOWS if frames <= MANY else WINDOWS[:1]
    tables = [first_baths(bench, window) for window in windows]
    best = min(tables, key=lambda flat: bench.cost(flat).total)
    return bench.plan(best, AHEAD)


def first_baths(bench: Bench, window: int) -> list[int]:
    """A table of baths, flat: on every free vat the bath that presses most within so many half-days."""
    floor, halves = bench.floor, bench.floor.size[t.N_HALVES]
    vats = range(floor.size[t.N_VATS])
    waiting = _waiting(bench)
    table = [[-1] * halves for _ in vats]
    free = [0 for _ in vats]
    while vats:
        vat = min(vats, key=lambda at: (free[at], at))
        half = free[vat]
        if half >= halves:
            break
        lock = floor.locked[vat * halves + half]
        now = table[vat][half - 1] if half else floor.vats[vat * t.VATS + t.V_BATH]
        bath, length = (lock, 1) if lock >= 0 else _choose(bench, waiting, vat, half, now, window)
        end = _unlocked_end(floor, vat, half, min(halves, half + length), bath)
        for at in range(half, end):
            table[vat][at] = bath
        _take(bench, waiting, vat, half, end, now, bath)
        free[vat] = end
    return bench.settle(table)


def _unlocked_end(floor, vat: int, half: int, end: int, bath: int) -> int:
    halves = floor.size[t.N_HALVES]
    for at in range(half + 1, end):
        if floor.locked[vat * halves + at] not in (-1, bath):
            return at
    return end


def _waiting(bench: Bench) -> list[list[tuple]]:
    """By bath the frames of every op that may begin now: (due half, turns, worth, turn, op, slot)."""
    floor = bench.floor
    waiting = [[] for _ in range(floor.size[t.N_BATHS])]
    for op in range(floor.size[t.N_OPS]):
        for place in range(floor.ops[op * t.OPS + t.O_COUNT]):
            _add(bench, waiting, op, place, 0)
    return waiting


def _add(bench: Bench, waiting: list, op: int, place: int, released: int) -> None:
    floor, row = bench.floor, op * t.OPS
    slot = floor.ops[row + t.O_SLOT] + place
    due = floor.slots[slot * t.SLOTS + t.S_DUE] - floor.ops[row + t.O_WORK]
    half_s = max(1, floor.size[t.HORIZON] // max(1, floor.size[t.N_HALVES]))
    frame = (max(0, due) // half_s, floor.ops[row + t.O_TURNS], floor.slots[slot * t.SLOTS + t.S_WORTH])
    frames = waiting[floor.ops[row + t.O_BATH]]
    frames.append((*frame, floor.ops[row + t.O_TURN_S], op, place, released))
    frames.sort()


def _choose(bench: Bench, waiting: list, vat: int, half: int, now: int, window: int) -> tuple[int, int]:
    """The bath that presses most, and for how many half-days; what it holds for one, if none does."""
    floor = bench.floor
    best, best_score, best_length = now, 0.0, 1
    kinds, half_s = floor.size[t.N_BATHS], _half_s(floor)
    for bath in range(kinds):
        if not (floor.may[vat * kinds + bath] or bath == now):
            continue
        change = floor.change[now * kinds + bath] / half_s
        length, score = _pressing(bench, waiting[bath], vat, half, window, change)
        if score > best_score:
            best, best_score, best_length = bath, score, length
    return best, best_length


def _half_s(floor) -> int:
    return max(1, floor.size[t.HORIZON] // max(1, floor.size[t.N_HALVES]))


def _pressing(bench: Bench, frames: list, vat: int, half: int, window: int, change: float) -> tuple[int, float]:
    """Half-days that a bath's frames within the window take, and how much they press in each of them."""
    floor = bench.floor
    half_s, depth = _half_s(floor), floor.vats[vat * t.VATS + t.V_DEPTH]
    positions = max(1, floor.vats[vat * t.VATS + t.V_POSITIONS])
    work, longest, press, found = 0.0, 0.0, 0.0, False
    for due, turns, worth, turn_s, op, _, released in frames:
        if due > half + window:
            break
        if released > half or floor.ops[op * t.OPS + t.O_DEPTH] > depth:
            continue
        took = turns * turn_s / half_s
        work, longest, found = work + took / positions, max(longest, took), True
        press += worth / (1 + max(0, due - half) / 4)
    if not found:
        return 1, 0.0
    length = max(1, -int(-(change + max(work, longest)) // 1))
    return length, press / (length + change)


def _take(bench: Bench, waiting: list, vat: int, half: int, end: int, before: int, bath: int) -> None:
    """Takes the frames off the list that the bath has room for in those half-days; they wait for their next stage."""
    floor, kept = bench.floor, []
    half_s, kinds = _half_s(floor), floor.size[t.N_BATHS]
    length = (end - half) - floor.change[before * kinds + bath] / half_s
    room = length * floor.vats[vat * t.VATS + t.V_POSITIONS]
    onwards = []
    for frame in waiting[bath]:
        _, turns, _, turn_s, op, place, released = frame
        took = turns * turn_s / half_s
        fits = floor.ops[op * t.OPS + t.O_DEPTH] <= floor.vats[vat * t.VATS + t.V_DEPTH]
        if released > half or took > room or took > length or not fits:
            kept.append(frame)
            continue
        room -= took
        if floor.ops[op * t.OPS + t.O_NEXT] >= 0:
            onwards.append((floor.ops[op * t.OPS + t.O_NEXT], place))
    waiting[bath][:] = kept
    for op, place in onwards:
        _add(bench, waiting, op, place, end)
