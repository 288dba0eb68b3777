"""Floors with everything at once, drawn by dice: candles of two stages, turns of different lengths, frames that hang,
wait and harden, scarce wax and hands, shallow vats, pins, frozen half-days, whole orders, weekends."""

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from random import Random

from production.dip_plan.problem import (
    Bath,
    Day,
    FramePin,
    Frozen,
    Half,
    Item,
    Problem,
    Stage,
    Started,
    Vat,
    VatPin,
    Want,
)

BEGINS, HALF = date(2026, 11, 5), 9000  # a Thursday; half-days of two and a half hours
BATHS = 4


def rich_floor(seed: int) -> Problem:
    """The same floor for the same seed."""
    dice = Random(seed)
    days = _days(8, short=dice.random() < 0.5)
    halves = _halves(days[:6])
    vats = tuple(
        Vat(
            at + 1,
            f"vat {at + 1}",
            dice.randrange(BATHS),
            dice.choice((250, 400)),
            dice.randint(1, 4),
            f"carousel {at + 1}",
            frozenset(dice.sample(range(BATHS), dice.randint(2, BATHS))),
        )
        for at in range(dice.randint(1, 3))
    )
    items = tuple(_item(dice, at) for at in range(dice.randint(2, 5)))
    wants = tuple(_want(dice, at, len(items)) for at in range(dice.randint(3, 9)))
    problem = Problem(
        days=days,
        halves=halves,
        baths=tuple(Bath(f"1:{at}", ("white", "ivory", "red", "green")[at], "#888888", at % 2) for at in range(BATHS)),
        change_s=tuple(
            tuple(0 if a == b else dice.choice((0, 900, 2700, 10000)) for b in range(BATHS)) for a in range(BATHS)
        ),
        vats=vats,
        items=items,
        started=tuple(_started(dice, vats, items, wants)),
        wants=tuple(sorted(wants, key=lambda want: want.due)),
        threads=tuple(dice.choice((0, 1, 2, 5)) for _ in halves),
        wax_g=(dice.choice((None, 500)), dice.choice((None, 300))),
    )
    return _bound(dice, problem)


def _days(count: int, *, short: bool) -> tuple[Day, ...]:
    """Working days without Saturdays and Sundays; the first may be half gone."""
    found, day, second = [], BEGINS, 0
    while len(found) < count:
        if day.weekday() < 5:
            seconds = HALF if short and not found else 2 * HALF
            closes = datetime.combine(day, time(17), UTC)
            found.append(Day(day, closes - timedelta(seconds=seconds), closes, second, second + seconds))
            second += seconds
        day += timedelta(days=1)
    return tuple(found)


def _halves(days: tuple[Day, ...]) -> tuple[Half, ...]:
    return tuple(
        Half(at, starts, starts + HALF) for at, day in enumerate(days) for starts in range(day.starts, day.ends, HALF)
    )


def _stage(dice: Random) -> Stage:
    return Stage(dice.randrange(BATHS), dice.randint(1, 12), dice.choice((600, 900, 1300)), dice.choice((60, 400)))


def _item(dice: Random, at: int) -> Item:
    stages = tuple(_stage(dice) for _ in range(dice.choice((1, 1, 2, 3))))
    each = dice.randint(2, 6)
    counted = tuple(max(0, n * each - dice.choice((0, 1)) * (n > 0)) for n in range(6))
    harden = dice.choice((3600, 12 * 3600, 40 * 3600))
    return Item(
        at, f"C{at}", f"candle {at}", stages, each, tuple(sorted(counted)), dice.choice((200, 300)), harden, 100
    )


def _want(dice: Random, at: int, items: int) -> Want:
    group, due = dice.choice(("", "", "order 1", "order 2")), BEGINS + timedelta(dice.randint(-1, 9))
    whole = bool(group) or dice.random() < 0.2
    weight = dice.choice((0, 1, 2, 4))
    return Want(at, dice.randrange(items), dice.randint(0, 9), due, weight, f"line {at}", group, whole)


def _started(dice: Random, vats: tuple[Vat, ...], items: tuple[Item, ...], wants: tuple[Want, ...]):
    taken = set()
    for at in range(dice.randint(0, 4)):
        item, kind, vat, position, hard = dice.randrange(len(items)), dice.randrange(3), -1, 0, -1
        stages = items[item].stages[-dice.randint(1, len(items[item].stages)) :]
        stages = (replace(stages[0], dips=dice.randint(1, stages[0].dips)), *stages[1:])
        if kind == 0:
            vat = dice.randrange(len(vats))
            position = dice.randrange(vats[vat].positions)
            stages = (replace(stages[0], bath=vats[vat].bath), *stages[1:])
            if (vat, position) in taken or vats[vat].depth_mm < items[item].length_mm:
                continue
            taken.add((vat, position))
        if kind == 1:
            stages, hard = (), dice.choice((0, 3600, 50 * 3600))
        ours = [place for place, want in enumerate(sorted(wants, key=lambda want: want.due)) if want.item == item]
        promised = ((dice.choice(ours), dice.randint(1, 4)),) if ours and dice.random() < 0.7 else ()
        yield Started(at, f"F{at}", item, stages, vat, position, promised, dice.randint(0, 3), hard)


def _bound(dice: Random, problem: Problem) -> Problem:
    """Pins and frozen half-days on some of the floors."""
    kinds = dice.randrange(4)
    if kinds == 1:
        pins = []
        for _ in range(dice.randint(1, 2)):
            vat = dice.randrange(len(problem.vats))
            bath = dice.choice(sorted(problem.vats[vat].may_hold))
            pins.append(VatPin(vat, dice.randrange(len(problem.halves)), bath))
        return replace(problem, vat_pins=tuple(pins))
    if kinds == 2:
        pins = []
        for _ in range(dice.randint(1, 3)):
            vat = dice.randrange(len(problem.vats))
            position = dice.choice((-1, dice.randrange(problem.vats[vat].positions)))
            half = dice.randrange(len(problem.halves))
            pins.append(FramePin(dice.randrange(len(problem.items)), vat, half, position))
        return replace(problem, frame_pins=tuple(pins))
    if kinds == 3:
        baths = tuple((vat.bath, vat.bath) for vat in problem.vats)
        return replace(problem, frozen=Frozen(2, baths))
    return problem
