"""The season in sentences. No Django: days, whole pairs, loads of production.floor_load."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from inventory.words import counted, in_pairs
from orders.season.projection import Projection
from production.dip_plan.binds import day_in_words
from production.dip_plan.last_orders import LastDay
from production.floor_load import FloorWeeks, Load

MOST_NAMED = 3


def rounded(pairs: int) -> int:
    """A projected figure is not known to the pair: to the ten below a thousand, else to the hundred."""
    step = 10 if pairs < 1000 else 100
    return round(pairs / step) * step if pairs >= 10 else pairs


def season_sentence(booked: int, early: int, projection: Projection | None) -> str:
    """ "4,812 pairs are booked for Christmas, 9 % more than by this day last year; about 6,900 in the end (6,300 to
    7,500)." """
    said = f"{in_pairs(booked)} {'is' if booked == 1 else 'are'} booked for Christmas"
    if projection is None:
        return f"{said}; there is no season before to stand it beside."
    low, high = projection.range
    end = f"about {rounded(projection.total):,} in the end ({rounded(low):,} to {rounded(high):,})"
    if not projection.rest:
        end = "nothing came after this day in seasons before"
    return f"{said}{_beside(booked, early)}; {end}."


def _beside(booked: int, early: int) -> str:
    if not early:
        return ", where nothing was by this day last year"
    percent = round(100 * (booked / early - 1))
    if not percent:
        return ", as many as by this day last year"
    return f", {abs(percent)} % {'more' if percent > 0 else 'fewer'} than by this day last year"


def last_order_sentence(days: Mapping[int, LastDay], van: date, lacking: str = "") -> str:
    """Until when orders can come in: for every candle, and for the last of them."""
    if lacking or not days:
        return f"Nobody can say until when orders can come in: {(lacking or 'no candle is in the plan.').lower()}"
    late = [row for row in days.values() if row.on is None]
    open_ = sorted(row.on for row in days.values() if row.on)
    goes = f"still go with the last van, {day_in_words(van)}"
    if not open_:
        return f"It is too late to dip anything that would {goes}."
    said = f"An order for a box can come in until {day_in_words(open_[0])} and {goes}"
    if open_[-1] > open_[0]:
        later = sum(day > open_[0] for day in open_)
        said += f"; for {counted(later, 'candle')} until {day_in_words(open_[-1])} at the latest"
    return f"{said}; {counted(len(late), 'candle')} can no longer be dipped in time." if late else f"{said}."


def load_sentence(floor: FloorWeeks, loads: Sequence[tuple[Load, Load]], over: float) -> str:
    """How full the floor is up to the van, and whether doing work ahead makes all of it fit."""
    if not floor.weeks:
        return "No working hours are set up: nobody can say how full the floor is."
    asked = [load.most for load, _ in loads]
    fullest = max(range(len(asked)), key=lambda place: asked[place])
    load, monday = loads[fullest][0], floor.weeks[fullest].monday
    said = f"The fullest week is that of {day_in_words(monday)}, {percent(load.most)} full"
    if load.binds:
        said += f" of {binds_in_words(floor, load)}"
    full = sum(most > 1 for most in asked)
    if over >= 1:
        return f"{said}; {counted(round(over), 'frame')} will find no room in any week."
    if full:
        return f"{said}; what is too much in {counted(full, 'week')} fits into the weeks before."
    return f"{said}; everything fits into its own week."


def percent(share: float) -> str:
    return f"{round(100 * share)} %"


def binds_in_words(floor: FloorWeeks, load: Load) -> str:
    """ "turns over North vat and South vat"; "hands that thread"."""
    if load.binds == "hands":
        return "hands that thread"
    names = [floor.problem.vats[vat].name for vat in sorted(load.vats)]
    every = len(names) == len(floor.problem.vats) > 1
    return f"{load.binds} over {'all vats' if every else ' and '.join(names)}"


def trial_sentence(words: str, now: Sequence[float], then: Sequence[float], over: tuple[float, float]) -> str:
    """What a change does to the fullest week and to what finds no room. Loads of each week as asked for."""
    said = f"{words[:1].upper()}{words[1:]}: the fullest week falls from {percent(max(now))} to {percent(max(then))}"
    if max(then) > max(now) + 0.005:
        said = said.replace("falls", "rises")
    elif max(then) > max(now) - 0.005:
        said = f"{words[:1].upper()}{words[1:]}: the fullest week stays {percent(max(now))} full"
    if over[0] >= 1 or over[1] >= 1:
        said += f", and of {counted(round(over[0]), 'frame')} without room {round(over[1]):,} are left"
    return f"{said}."


def ahead_sentence(frames: int, pairs: int, candles: int, sure: int) -> str:
    if frames:
        return (
            f"{counted(frames, 'frame')} of {counted(candles, 'candle')} can be hung ahead in idle weeks: "
            f"{in_pairs(pairs)} that will almost surely be sold."
        )
    if sure:
        return (
            f"Nothing to hang ahead: {in_pairs(sure)} are sure besides, but of no candle a whole frame that has room."
        )
    return "Nothing to hang ahead: what is surely sold lies there, hangs, or is wanted for the shelf already."


def not_yet_sentence(shops: int, pairs: int, overdue: int) -> str:
    if not shops:
        return "Every shop that ordered last Christmas has ordered again."
    have = "has" if shops == 1 else "have"
    said = f"{counted(shops, 'shop')} that took {in_pairs(pairs)} last Christmas {have} not ordered yet"
    return f"{said}; {overdue} of them had by this day last year." if overdue else f"{said}; none had by this day."


def growth_in_words(projection: Projection) -> str:
    """ "12 % more, as far as anybody can tell from what is booked"."""
    percent_more = round(100 * (projection.growth - 1))
    if not percent_more:
        return "none that shows"
    return f"{abs(percent_more)} % {'more' if percent_more > 0 else 'less'}, as far as what is booked can tell"


def candles_sentence(rows: Sequence[tuple[str, int, int]], projection: Projection | None) -> str:
    """Which candles most is still to come of. Rows are (name, pairs to come, pairs booked)."""
    if projection is None or not projection.rest:
        most = sorted(rows, key=lambda row: -row[2])[:MOST_NAMED]
        if not most:
            return "Nothing is booked for Christmas yet, by no shop."
        return f"Most is booked of {_named((name, booked) for name, _, booked in most)}."
    most = sorted(rows, key=lambda row: -row[1])[:MOST_NAMED]
    to_come = f"Of about {rounded(projection.rest):,} pairs still to come"
    return f"{to_come} most will be {_named((name, rest) for name, rest, _ in most)}."


def _named(rows: Iterable[tuple[str, int]]) -> str:
    parts = [f"{name} ({pairs:,})" for name, pairs in rows]
    return " and ".join(filter(None, (", ".join(parts[:-1]), parts[-1])))
