"""What finished frames teach about the next one. No Django here: base diameters in mm, whole dips.

Random effects, pooled: each frame has a start and a growth of its own, scattered about the workshop's. How far frames
differ beyond what their readings can't tell is estimated by moments (DerSimonian and Laird 1986, Controlled Clinical
Trials 7, 177-188). The recipe's guess stands in where there are no frames, and gives way as they come.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import fsum

from production.growth import SCATTER_WORTH, Line, Reading, flat_prior, usual_prior, with_readings

# How far frames of one candle differ, as a standard deviation, before the history knows: common practice, no source.
START_APART, GROWTH_APART = 0.3, 0.05
FEW_FRAMES = 4  # frames that guess is worth
MOST_WORTH = 30  # readings the scatter is worth at most, so that a frame of its own can still show another


@dataclass(frozen=True)
class _Estimate:
    """One frame's start or growth, with the square of its standard error."""

    value: float
    doubt: float


def fit_history(frames: Sequence[Sequence[Reading]], usual: Line | None = None) -> Line:
    """The prior of the next frame, from the readings of finished ones and what was `usual` before them.

    Frames with readings at one number of dips only say nothing of growth and are passed over. ValueError where a
    reading is no number, or `usual` is flat.
    """
    usual = usual or usual_prior()
    scatter2 = usual.scatter**2
    lines = [with_readings(flat_prior(), frame) for frame in frames if len({each.dips for each in frame}) > 1]
    if not lines:
        return usual
    known = [line for line in lines if line.df > 0]
    df = SCATTER_WORTH + fsum(line.df for line in known)
    scatter2 = fsum([SCATTER_WORTH * scatter2, *(line.squares for line in known)]) / df
    growths = [_Estimate(line.growth, scatter2 / line.slope_weight) for line in lines]
    starts = [_Estimate(line.start, scatter2 * _lever_at_start(line)) for line in lines]
    growth = _pool(growths, _Estimate(usual.growth, usual.scatter**2 / usual.slope_weight), GROWTH_APART)
    start = _pool(starts, _Estimate(usual.start, usual.doubt(0) ** 2), START_APART)
    worth = min(df, MOST_WORTH)
    return Line(
        pivot=0,
        mm=start.value,
        growth=growth.value,
        weight=scatter2 / start.doubt,
        slope_weight=scatter2 / growth.doubt,
        df=worth,
        squares=worth * scatter2,
    )


def _lever_at_start(line: Line) -> float:
    return 1 / line.weight + line.pivot**2 / line.slope_weight


def _pool(frames: Sequence[_Estimate], guess: _Estimate, apart: float) -> _Estimate:
    """The value to expect of one frame more, with the square of its doubt.

    `guess` is what was believed of the mean of all frames, `apart` how far one frame lies from it.
    """
    between = _between(frames, apart)
    worth = [1 / (each.doubt + between) for each in frames]
    # What was guessed of one frame is less sure of their mean only by how far frames lie apart.
    guess_worth = 1 / max(guess.doubt - apart**2, guess.doubt / 4)
    total = guess_worth + fsum(worth)
    value = guess_worth * guess.value + fsum(w * each.value for w, each in zip(worth, frames, strict=True))
    return _Estimate(value / total, 1 / total + between)


def _between(frames: Sequence[_Estimate], apart: float) -> float:
    """Variance between frames as their moments show it, where the guess counts as FEW_FRAMES frames."""
    degrees = len(frames) - 1
    found = variance_between([each.value for each in frames], [each.doubt for each in frames])
    return (FEW_FRAMES * apart**2 + degrees * found) / (FEW_FRAMES + degrees)


def variance_between(values: Sequence[float], doubts: Sequence[float]) -> float:
    """DerSimonian and Laird's variance between estimates, given the squares of their standard errors; 0 for one."""
    worth = [1 / doubt for doubt in doubts]
    total = fsum(worth)
    mean = fsum(w * value for w, value in zip(worth, values, strict=True)) / total
    unlike = fsum(w * (value - mean) ** 2 for w, value in zip(worth, values, strict=True))
    room = total - fsum(w * w for w in worth) / total
    return max(0.0, (unlike - len(values) + 1) / room) if room > 1e-12 * total else 0.0
