"""Floors small enough to try out every schedule: two days, two baths, one or two vats, a few candles."""

from datetime import UTC, date, datetime, time, timedelta
from random import Random

from production.dip_plan.problem import Bath, Day, Half, Item, Problem, Stage, Vat, Want

BEGINS = date(2026, 11, 2)
TURN = 1800


def days(count: int, hours: int = 4) -> tuple[Day, ...]:
    opens = [datetime.combine(BEGINS + timedelta(days=at), time(8), UTC) for at in range(count)]
    seconds = hours * 3600
    return tuple(
        Day(at.date(), at, at + timedelta(seconds=seconds), n * seconds, (n + 1) * seconds)
        for n, at in enumerate(opens)
    )


def item(at: int, bath: int, dips: int, pairs: int, *, harden_h: int = 12, frames: int = 3) -> Item:
    counted = tuple(n * pairs for n in range(frames + 1))
    stages = (Stage(bath, dips, TURN, 60),)
    return Item(at, f"C{at}", f"candle {at}", stages, pairs, counted, 200, harden_h * 3600, 100)


def vat(at: int, bath: int, positions: int, baths: int) -> Vat:
    return Vat(at + 1, f"vat {at + 1}", bath, 400, positions, f"carousel {at + 1}", frozenset(range(baths)))


def floor(items, wants, vats, change_s, halves, *, work_days=None, threads=9, wax_g=(None,)) -> Problem:
    baths = tuple(Bath(f"1:{at}", f"colour {at}", "#888888", 0) for at in range(len(change_s)))
    return Problem(
        days=work_days or days(len(halves) // 2 + 2),
        halves=halves,
        baths=baths,
        change_s=tuple(tuple(row) for row in change_s),
        vats=tuple(vats),
        items=tuple(items),
        started=(),
        wants=tuple(sorted(wants, key=lambda want: want.due)),
        threads=(threads,) * len(halves),
        wax_g=wax_g,
    )


def half_days(count: int, turns: int = 4) -> tuple[Half, ...]:
    return tuple(Half(at // 2, at * turns * TURN, (at + 1) * turns * TURN) for at in range(count))


def drawn(seed: int) -> Problem:
    """Whatever the dice give: change-overs of none to three turns, hardening from hours to a night and more."""
    dice, baths = Random(seed), 2
    number = dice.choice((1, 2))
    change_s = [[0 if a == b else TURN * dice.randint(0, 3) for b in range(baths)] for a in range(baths)]
    positions = dice.choice((1, 2)) if number == 1 else 1
    vats = [vat(at, dice.randrange(baths), positions, baths) for at in range(number)]
    items = [
        item(at, dice.randrange(baths), dice.randint(2, 6), dice.randint(2, 6), harden_h=dice.choice((2, 12, 20)))
        for at in range(dice.randint(2, 3))
    ]
    wants = [
        Want(at, dice.randrange(len(items)), dice.randint(1, 7), BEGINS + timedelta(dice.randint(0, 3)), weight, "w")
        for at, weight in enumerate(dice.choices((1, 2, 4), k=dice.randint(2, 4)))
    ]
    limits = {"threads": dice.choice((1, 2, 4)), "wax_g": (dice.choice((None, None, 300)),)}
    return floor(items, wants, vats, change_s, half_days(4), **limits)
