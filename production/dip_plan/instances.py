"""Made-up floors and dip lists to measure the plan on, the same for the same seed. No Django.

Sizes are those of the trials that set the aims: lines, candles, colours, vats, working days. Rates, dips, times and
figures are invented within plausible ranges (common practice, no source). As in the trials the vats are alike, every
turn takes the same time, and working days follow one another; `week=5` leaves out Saturdays and Sundays, `whole` is
the share of orders that are worth nothing before they are complete.

`load` is the share of the vats' turns that the frames needed would take if no colour were ever changed.
"""

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from math import sqrt
from random import Random

from production.dip_plan.problem import Bath, Day, Half, Item, Problem, Stage, Started, Vat, Want

BEGINS = date(2026, 10, 5)  # a Monday
OPENS, CLOSES = time(8), time(16)
HALF_S = 4 * 3600
SPARE_DAYS = 4  # working days after the last half-day, for hardening
POSITIONS = 12
DIP_S = 10  # twelve frames pass the vat within two minutes
HARDEN_S = 12 * 3600
THREADS = 32  # two people, a quarter of an hour a frame
COLOURS = (
    "#f4ecd8",
    "#ead9a0",
    "#e2b33c",
    "#d98c2b",
    "#b5432e",
    "#7d1f2b",
    "#4d6b3c",
    "#2f4d63",
    "#5a3d2b",
    "#242326",
)


@dataclass(frozen=True)
class Size:
    lines: int
    items: int
    colours: int
    vats: int
    days: int


SIZES = {
    "small": Size(20, 8, 4, 2, 10),
    "season": Size(300, 40, 10, 3, 30),
    "mid": Size(1000, 90, 15, 4, 45),
    "big": Size(3000, 200, 24, 6, 60),
}


def make(
    size: str | Size = "season",
    seed: int = 1,
    load: float = 0.72,
    turn_minutes: int = 6,
    *,
    week: int = 7,
    whole: float = 0.0,
) -> Problem:
    """A floor of that size (a name of SIZES, or one's own). ValueError for an unknown size or a load not above 0."""
    if isinstance(size, str):
        if size not in SIZES:
            raise ValueError(f"there is no size {size!r}; there are {', '.join(SIZES)}")
        size = SIZES[size]
    if load <= 0 or turn_minutes <= 0:
        raise ValueError("load and minutes of a turn lie above 0")
    dice = Random(f"{seed}:{size}")  # noqa: S311 (load and turn time scale the pairs and change nothing else)
    days = working_days(size.days + SPARE_DAYS, week)
    halves = half_days(size.days)
    baths = tuple(Bath(f"1:{at + 1}", f"colour {at + 1}", COLOURS[at % len(COLOURS)], 0) for at in range(size.colours))
    vats = _vats(size)
    rough = [_rough_item(dice, at, size.colours, turn_minutes * 60) for at in range(size.items)]
    lines = _lines(dice, size, days, rough, whole)
    frames = load * size.vats * POSITIONS * len(halves) * HALF_S / (turn_minutes * 60)
    wants = _scaled(lines, rough, frames)
    asked = [sum(want.pairs for want in wants if want.item == at) for at in range(size.items)]
    items = tuple(_counted(item, pairs) for item, pairs in zip(rough, asked, strict=True))
    return Problem(
        days=days,
        halves=halves,
        baths=baths,
        change_s=_change_overs(dice, size.colours),
        vats=vats,
        items=items,
        started=_started(dice, vats, items, wants),
        wants=wants,
        threads=(THREADS * 6 // min(turn_minutes, 6),) * len(halves),
        wax_g=(None,),
    )


def working_days(count: int, week: int = 7, begins: date = BEGINS) -> tuple[Day, ...]:
    """So many working days from `begins`, each of two half-days; of every calendar week the first `week` days."""
    days, day = [], begins
    while len(days) < count:
        if day.weekday() < week:
            at = len(days) * 2 * HALF_S
            opens, closes = (datetime.combine(day, clock, UTC) for clock in (OPENS, CLOSES))
            days.append(Day(day, opens, closes, at, at + 2 * HALF_S))
        day += timedelta(days=1)
    return tuple(days)


def half_days(days: int) -> tuple[Half, ...]:
    return tuple(Half(at // 2, at * HALF_S, (at + 1) * HALF_S) for at in range(2 * days))


def _vats(size: Size) -> tuple[Vat, ...]:
    every = frozenset(range(size.colours))
    return tuple(
        Vat(at + 1, f"vat {at + 1}", at % size.colours, 420, POSITIONS, f"carousel {at + 1}", every)
        for at in range(size.vats)
    )


def _change_overs(dice: Random, colours: int) -> tuple[tuple[int, ...], ...]:
    """Towards dark a vat is topped up with dye; towards light it is emptied and cleaned. Whole six minutes."""
    lightness = [dice.random() for _ in range(colours)]
    rows = []
    for from_ in range(colours):
        row = [5 * 360 + 360 * round(7 * max(0.0, lightness[to] - lightness[from_])) for to in range(colours)]
        row[from_] = 0
        rows.append(tuple(row))
    return tuple(rows)


def _rough_item(dice: Random, at: int, colours: int, turn_s: int) -> Item:
    """Thin candles many on a frame and soon done, thick ones few and up to three working days long."""
    dips = round(dice.triangular(12, 120, 12))
    pairs = max(6, min(60, round(1500 / (dips + 1))))
    bath = at if at < colours else dice.randrange(colours)
    return Item(
        key=at + 1,
        code=f"C{at + 1:03}",
        name=f"candle {at + 1}",
        stages=(Stage(bath, dips, turn_s, DIP_S),),
        pairs=pairs,
        counted=(0,),
        length_mm=dice.randrange(150, 360, 10),
        harden_s=HARDEN_S,
        wax_g=pairs * (40 + dips),
    )


def _lines(dice: Random, size: Size, days, items: list[Item], whole: float) -> list[Want]:
    """Order lines with relative pairs. What stock and early frames cover is left out: a candle is short from its
    second to ninth day on, a thick one three days later."""
    short_from = [dice.randint(2, 9) + 3 * (item.stages[0].dips > 80) for item in items]
    lines = []
    for at in range(size.lines):
        item = at if at < size.items else dice.randrange(size.items)
        day = dice.randint(min(short_from[item], size.days - 2), size.days - 1)
        weight = dice.choices((1, 2, 4), (5, 3, 2))[0]
        lines.append(Want(0, item, dice.choice((12, 12, 24, 24, 36, 48, 60, 96)), days[day].date, weight, ""))
    lines.sort(key=lambda line: (line.due, -line.weight, line.item))
    return [_ordered(dice, at, line, whole) for at, line in enumerate(lines)]


def _ordered(dice: Random, at: int, line: Want, whole: float) -> Want:
    """Three lines an order, neighbours in date."""
    order = f"order {at // 3 + 1}"
    complete = Random(order).random() < whole  # noqa: S311
    group = order if complete else ""
    return Want(at + 1, line.item, line.pairs, line.due, line.weight, order, group, complete)


def _scaled(lines: list[Want], items: list[Item], turns: float) -> tuple[Want, ...]:
    """The lines with their pairs scaled until the frames they need take that many turns."""
    scale = turns / sum(line.pairs * _turns_a_pair(items[line.item]) for line in lines)
    for _ in range(4):
        pairs = [max(1, round(line.pairs * scale)) for line in lines]
        asked = [0] * len(items)
        for line, wanted in zip(lines, pairs, strict=True):
            asked[line.item] += wanted
        needed = sum(
            (len(_counted(item, wanted, spare=0).counted) - 1) * (item.stages[0].dips + 1)
            for item, wanted in zip(items, asked, strict=True)
        )
        scale *= turns / needed
    return tuple(
        Want(line.key, line.item, wanted, line.due, line.weight, line.label, line.group, line.whole)
        for line, wanted in zip(lines, pairs, strict=True)
    )


def _turns_a_pair(item: Item) -> float:
    return (item.stages[0].dips + 1) / item.pairs


def _counted(item: Item, wanted: int, spare: int = 2) -> Item:
    """The item with its firsts counted on at 90 %, up to the frames that `wanted` pairs need and `spare` more.

    Mean less 1.28 standard deviations of a beta-binomial with a share of 0.93 that is worth 400 pairs.
    """
    share, worth, counted, over = 0.93, 400, [0], 0
    while over < spare or counted[-1] < wanted:
        over += counted[-1] >= wanted
        hung = len(counted) * item.pairs
        spread = sqrt(hung * share * (1 - share) * (worth + hung) / (worth + 1))
        counted.append(max(counted[-1] + 1, int(hung * share - 1.28 * spread)))
    return Item(
        item.key,
        item.code,
        item.name,
        item.stages,
        item.pairs,
        tuple(counted),
        item.length_mm,
        item.harden_s,
        item.wax_g,
    )


def _started(dice: Random, vats: tuple[Vat, ...], items: tuple[Item, ...], wants) -> tuple[Started, ...]:
    """Five frames over each vat, somewhere between their first dip and their last; one a vat hangs for a want."""
    hanging = []
    for place, vat in enumerate(vats):
        fitting = [at for at, item in enumerate(items) if item.stages[0].bath == vat.bath]
        for position in range(5):
            item = dice.choice(fitting)
            stage = items[item].stages[0]
            left = Stage(stage.bath, dice.randint(1, stage.dips), stage.turn_s, stage.dip_s)
            spare, promised = items[item].counted[1], ()
            if position == 0:
                first_want = next(at for at, want in enumerate(wants) if want.item == item)
                promised = ((first_want, spare // 2),)
                spare -= spare // 2
            key = len(hanging) + 1
            hanging.append(Started(key, f"F{key:03}", item, (left,), place, position, promised, spare))
    return tuple(hanging)
