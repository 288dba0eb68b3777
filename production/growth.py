"""How a candle grows, dip by dip. No Django here: base diameters in mm, whole dips, chances from 0 to 1.

The base diameter after n dips lies about a straight line, start + growth x n, and readings scatter about it (candles
of one frame differ, and a gauge is read by hand). What is known of the line before the first reading (the recipe, or
this candle's finished frames) is a normal-inverse-gamma distribution, the readings pull it, and it stays one: textbook
Bayesian linear regression with an unknown scatter. With a flat prior it is least squares.

A line is kept by its value at a pivot and its slope, which are independent there given the scatter. So a prior reads
as "worth `weight` readings at the pivot and `slope_weight` dips squared of lever", and no digits are lost far from
nought.

The stage of a recipe has a line of its own; `carry_over` begins the next stage's where the last one ended.
Words about readings are in production.gauging, lines from finished frames in production.history.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import fsum, isfinite, sqrt

from production import student

Figure = float | Decimal

USUAL_GROWTH = 0.6  # mm a dip: 19.05 mm in "about 30 dips" (TRADE D1); sources disagree (D2), so history replaces it
USUAL_START = 2.0  # mm of wick and priming: common practice, no source
# How far the first guess may be out, as standard deviations: two of them span 0.3 to 0.9 mm a dip. Common practice.
GROWTH_DOUBT, START_DOUBT = 0.15, 0.5
SCATTER, SCATTER_WORTH = 0.2, 4  # mm about the line, and the readings that guess is worth: common practice, no source
MOST_DIPS = 500  # nobody dips a frame as often: the search for dips left ends here


@dataclass(frozen=True)
class Reading:
    """Measured base diameter in mm after so many dips."""

    dips: int
    mm: Figure


@dataclass(frozen=True)
class Line:
    """What is known of a frame's growth, before readings (a prior) or after them.

    `mm` at `pivot` dips and `growth` a dip are the likeliest values. `weight` is in readings, `slope_weight` in dips
    squared; the scatter's square is `squares / df` in mm2. A flat prior has df -2 and tells nothing by itself.
    """

    pivot: float
    mm: float
    growth: float
    weight: float
    slope_weight: float
    df: float
    squares: float

    @property
    def start(self) -> float:
        """Likeliest diameter in mm at no dips."""
        return self.at(0)

    @property
    def scatter(self) -> float:
        """Standard deviation in mm of a reading about the line. ValueError where too little is known."""
        if self.df <= 0 or self.weight <= 0 or self.slope_weight <= 0:
            raise ValueError("too few readings to tell anything: three, at two numbers of dips or more, are the least")
        return sqrt(self.squares / self.df)

    def at(self, dips: float) -> float:
        """Likeliest diameter in mm after so many dips."""
        return self.mm + self.growth * (dips - self.pivot)

    def doubt(self, dips: float) -> float:
        """Standard error in mm of the line itself after so many dips."""
        return self.scatter * sqrt(self._lever(dips))

    def doubt_of_reading(self, dips: float) -> float:
        """Standard error in mm of one more reading after so many dips: the line's doubt and the scatter."""
        return self.scatter * sqrt(1 + self._lever(dips))

    def _lever(self, dips: float) -> float:
        return 1 / self.weight + (dips - self.pivot) ** 2 / self.slope_weight


@dataclass(frozen=True)
class Range:
    """A diameter in mm with the limits that hold it with the chance asked for."""

    mm: float
    low: float
    high: float


@dataclass(frozen=True)
class DipsLeft:
    """Dips until the line reaches a diameter; `most` is None where MOST_DIPS may not do it, `likely` too."""

    likely: int | None
    fewest: int | None
    most: int | None
    chance: float
    words: str


def flat_prior() -> Line:
    """Nothing known: the readings alone decide, as in least squares (Gelman and others, Bayesian Data Analysis)."""
    return Line(pivot=0, mm=0, growth=0, weight=0, slope_weight=0, df=-2, squares=0)


def usual_prior(
    start: Figure = USUAL_START,
    growth: Figure = USUAL_GROWTH,
    *,
    start_doubt: Figure = START_DOUBT,
    growth_doubt: Figure = GROWTH_DOUBT,
    scatter: Figure = SCATTER,
    scatter_worth: float = SCATTER_WORTH,
) -> Line:
    """What a recipe expects: `start` mm, `growth` mm a dip, with their standard deviations and the scatter, in mm.

    ValueError where a figure is not finite or not above nought.
    """
    figures = [float(each) for each in (start, growth, start_doubt, growth_doubt, scatter, scatter_worth)]
    if not all(isfinite(each) and each > 0 for each in figures):
        raise ValueError(f"start, growth, doubts and scatter must be above nought, not {figures}")
    start, growth, start_doubt, growth_doubt, scatter, worth = figures
    return Line(
        pivot=0,
        mm=start,
        growth=growth,
        weight=(scatter / start_doubt) ** 2,
        slope_weight=(scatter / growth_doubt) ** 2,
        df=worth,
        squares=worth * scatter**2,
    )


def with_readings(prior: Line, readings: Sequence[Reading]) -> Line:
    """The line after these readings. ValueError where a reading is no finite number.

    The prior counts as `weight` readings at its pivot, so the sums are those of a weighted regression, taken about the
    common mean.
    """
    if not readings:
        return prior
    dips, mm = [float(each.dips) for each in readings], [float(each.mm) for each in readings]
    if not all(map(isfinite, dips + mm)):
        raise ValueError("a gauge reading must be a number")
    weight = prior.weight + len(readings)
    pivot = fsum([prior.weight * prior.pivot, *dips]) / weight
    height = fsum([prior.weight * prior.mm, *mm]) / weight
    ahead, above = prior.pivot - pivot, prior.mm - height
    lever = fsum([prior.slope_weight, prior.weight * ahead**2, *((n - pivot) ** 2 for n in dips)])
    pull = fsum(
        [
            prior.slope_weight * prior.growth,
            prior.weight * ahead * above,
            *((n - pivot) * (d - height) for n, d in zip(dips, mm, strict=True)),
        ]
    )
    growth = pull / lever if lever else 0.0
    off = [d - height - growth * (n - pivot) for n, d in zip(dips, mm, strict=True)]
    squares = fsum(
        [
            prior.squares,
            prior.weight * (above - growth * ahead) ** 2,
            prior.slope_weight * (growth - prior.growth) ** 2,
            *(each**2 for each in off),
        ]
    )
    return Line(pivot, height, growth, weight, lever, prior.df + len(readings), squares)


def carry_over(line: Line, dips: int, stage: Line) -> Line:
    """The prior of the next stage, begun after `dips` dips in all: where this line ends, with that stage's growth.

    `stage` is the next stage's own prior; of it only the growth and its doubt are taken.
    """
    growth_doubt = stage.scatter / sqrt(stage.slope_weight)
    weight = (line.scatter / line.doubt(dips)) ** 2
    lever = (line.scatter / growth_doubt) ** 2
    return Line(dips, line.at(dips), stage.growth, weight, lever, line.df, line.squares)


def predict(line: Line, dips: float, chance: float = 0.9) -> Range:
    """Where one more reading after so many dips would lie, with that chance. ValueError where too little is known."""
    return _range(line, line.at(dips), line.doubt_of_reading(dips), chance)


def predict_line(line: Line, dips: float, chance: float = 0.9) -> Range:
    """Where the line itself lies after so many dips (the mean of the frame's candles), with that chance."""
    return _range(line, line.at(dips), line.doubt(dips), chance)


def _range(line: Line, mm: float, doubt: float, chance: float) -> Range:
    if not 0 < chance < 1:
        raise ValueError(f"a chance lies between 0 and 1, not {chance}")
    reach = student.point_above((1 - chance) / 2, line.df) * doubt
    return Range(mm, mm - reach, mm + reach)


def chance_over(line: Line, dips: float, mm: Figure) -> float:
    """Chance that one candle measured after so many dips is thicker than `mm`: overshoot, where that is the gauge."""
    return student.chance_above((float(mm) - line.at(dips)) / line.doubt_of_reading(dips), line.df)


def aim_mm(low_mm: Figure, high_mm: Figure, growth: Figure) -> float:
    """The diameter in mm to dip to: the first from which another dip would lead further from the middle of the gauge.

    Never below the gauge.
    """
    low, high = float(low_mm), float(high_mm)
    return max(low, (low + high - float(growth)) / 2)


def dips_left(line: Line, done: int, to_mm: Figure, chance: float = 0.9) -> DipsLeft:
    """Dips after `done` until the line reaches `to_mm`, and the range that holds them with that chance.

    The ends of the range are the first dip by which the line has reached `to_mm` with the chance (1 - chance) / 2, and
    that by which it has with (1 + chance) / 2. ValueError where too little is known or chance is not between 0 and 1.
    """
    if not 0 < chance < 1:
        raise ValueError(f"a chance lies between 0 and 1, not {chance}")
    reach = student.point_above((1 - chance) / 2, line.df)
    fewest, likely, most = (_first_at(line, done, float(to_mm), by) for by in (-reach, 0.0, reach))
    return DipsLeft(likely, fewest, most, chance, _left_in_words(fewest, likely, most, chance))


def _first_at(line: Line, done: int, to_mm: float, reach: float) -> int | None:
    """First number of dips after `done` whose line is `reach` standard errors or more past `to_mm`."""
    for more in range(MOST_DIPS + 1):
        if line.at(done + more) - to_mm >= reach * line.doubt(done + more):
            return more
    return None


def _left_in_words(fewest: int | None, likely: int | None, most: int | None, chance: float) -> str:
    if likely is None:
        return f"At this growth {MOST_DIPS} dips would not reach the gauge: take a reading."
    if most == 0:
        return "At gauge."
    count = f"{likely} dip{'' if likely == 1 else 's'} left"
    if fewest == likely == most:
        return f"{count}."
    end = "or more" if most is None else f"to {most}"
    return f"{count} ({fewest} {end}, {round(100 * chance)} times in 100)."
