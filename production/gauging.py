"""What a gauge reading says, in words. No Django here: base diameters in mm, whole dips, chances from 0 to 1.

Why a reading may be out of line: a vat too hot or a dip too long melts the candle back, one too cold puts on thick and
lumpy coats (TRADE F1, F6, W34); a turn too short leaves the core warm, and less freezes on (P4, P7, D6).
"""

from collections.abc import Sequence
from dataclasses import dataclass

from production import student
from production.growth import Figure, Line, Range, Reading, chance_over, predict

ODD = 0.01  # a reading with less chance than that is out of line: common practice, no source
OVERSHOOT = 0.1  # chance of a candle above the gauge that is worth a warning: common practice, no source
PLAY_MM = 0.5  # how far two candles of a frame differ at the gauge: common practice, no source


@dataclass(frozen=True)
class OutOfLine:
    """A reading that does not fit what was known before it, with the reason why that matters."""

    expected: Range  # of a reading, with chance 1 - ODD
    chance: float  # of a reading as far off as that, on either side
    words: str


def refuse_reading(reading: Reading, earlier: Sequence[Reading], start_mm: Figure, gauge_high_mm: Figure) -> str:
    """Why a reading can't be right, as a sentence for the field; empty where it can.

    A candle is no thinner than its wick, never becomes thinner than it was but for the play of PLAY_MM between two
    candles of a frame, and nobody dips on to twice its gauge.
    """
    mm, start, high = float(reading.mm), float(start_mm), float(gauge_high_mm)
    if not 0 < mm < float("inf"):
        return "A gauge reading is above nought, in mm."
    if mm > 2 * high:
        return f"{mm:g} mm is more than twice the gauge of {high:g} mm: is it in mm, and of this frame?"
    if mm < start - PLAY_MM:
        return f"{mm:g} mm is thinner than the primed wick of {start:g} mm."
    before = [each for each in earlier if each.dips <= reading.dips]
    last = max(before, key=lambda each: each.dips, default=None)
    if last and mm < float(last.mm) - PLAY_MM:
        return (
            f"{mm:g} mm is thinner than the {float(last.mm):g} mm read after {_dips(last.dips)}. Gauge it again; "
            "if the earlier reading was wrong, strike that one out first."
        )
    after = min((each for each in earlier if each.dips > reading.dips), key=lambda each: each.dips, default=None)
    if after and mm > float(after.mm) + PLAY_MM:
        return f"{mm:g} mm is thicker than the {float(after.mm):g} mm read later, after {_dips(after.dips)}."
    return ""


def out_of_line(before: Line, reading: Reading, odd: float = ODD) -> OutOfLine | None:
    """The reading against the line as it was *before* it: None where it fits, or too little is known to tell.

    Predictive t, on both sides: out of line where a reading as far off has a chance below `odd`.
    """
    if before.df <= 0 or not before.slope_weight:
        return None
    off = (float(reading.mm) - before.at(reading.dips)) / before.doubt_of_reading(reading.dips)
    chance = 2 * student.chance_above(abs(off), before.df)
    if chance >= odd:
        return None
    expected = predict(before, reading.dips, 1 - odd)
    why = _too_thick() if off > 0 else _too_thin()
    words = (
        f"{float(reading.mm):.1f} mm after {_dips(reading.dips)} is out of line: {expected.low:.1f} to "
        f"{expected.high:.1f} mm was to be expected. {why}"
    )
    return OutOfLine(expected, chance, words)


def _too_thick() -> str:
    return (
        "The vat may be too cold (thick, lumpy coats), a turn may be missing in the book, or the gauge was misread. "
        "It matters because the frame would pass its gauge before the dips left are counted down."
    )


def _too_thin() -> str:
    return (
        "The vat may be too hot or the dip too long (the wax melts back), the turn too short for the core to cool, "
        "a turn may be counted that was not dipped, or the gauge was misread. "
        "It matters because the frame would be taken off under gauge."
    )


def overshoot_warning(line: Line, done: int, high_mm: Figure, least: float = OVERSHOOT) -> str:
    """A warning before one dip more would bring candles over the gauge; empty where fewer than `least` would be.

    `high_mm` is the upper edge of the gauge. Where the line is less sure than candles differ, the warning asks for a
    reading in place of an end. ValueError where too little is known of the line.
    """
    now, then = (chance_over(line, dips, high_mm) for dips in (done, done + 1))
    high = f"{float(high_mm):g} mm"
    if then >= least and line.doubt(done) > line.scatter:
        return f"Candles may pass {high} with the next dip (chance {_share(then)}): take a reading first."
    if now >= least:
        return f"About {_share(now)} candles are over {high} already: gauge them, and dip no more."
    if then >= least:
        return f"One dip more, and about {_share(then)} candles would be over {high}: gauge them first."
    return ""


def _share(chance: float) -> str:
    return f"{max(1, min(99, round(100 * chance)))} in 100"


def _dips(count: int) -> str:
    return f"{count} dip{'' if count == 1 else 's'}"
