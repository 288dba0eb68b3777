"""Seconds per graded frame on a p-chart. No Django here: whole pairs, shares from 0 to 1.

A point is one frame: how many of its pairs were no firsts. The centre is the share over all frames; limits lie three
standard deviations off and follow the frame's size (NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.3.2). Where a
frame is expected to have fewer than five seconds the normal limits mislead, and exact binomial ones of the same
rarity stand in.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from math import exp, fsum, lgamma, log, log1p, sqrt

SIGMAS = 3
FEW = 5  # expected seconds below which the normal limits mislead: from memory
RARE = 0.00135  # beyond three standard deviations on one side
DRIFT = 8  # points in a row on one side of the centre: the Western Electric rule of e-Handbook 6.3.2


@dataclass(frozen=True)
class Point:
    """One frame: the share of its pairs that were no firsts, and the limits for a frame of its size."""

    share: float
    lower: float
    upper: float
    exact: bool  # binomial limits, since the frame is small for the normal ones

    @property
    def out(self) -> str:
        """ "above", "below", or empty where the point is within its limits."""
        if self.share > self.upper + 1e-12:
            return "above"
        return "below" if self.share < self.lower - 1e-12 else ""


@dataclass(frozen=True)
class Chart:
    """Points in the order of their frames. `signals` and `drifts` are places in it, from 0."""

    centre: float
    points: tuple[Point, ...]

    @property
    def signals(self) -> list[int]:
        """Frames beyond their limits."""
        return [place for place, point in enumerate(self.points) if point.out]

    @property
    def drifts(self) -> list[tuple[int, int]]:
        """First and last frame of each stretch of DRIFT or more on one side of the centre."""
        found, since, side = [], 0, 0
        for place, point in enumerate((*self.points, None)):
            here = 0 if point is None else (point.share > self.centre) - (point.share < self.centre)
            if here != side or not here:
                if side and place - since >= DRIFT:
                    found.append((since, place - 1))
                since, side = place, here
        return found


def p_chart(
    frames: Sequence[tuple[int, int]],
    *,
    without: Collection[int] = (),
    centre: float | None = None,
    exact: bool = True,
) -> Chart:
    """The chart of frames, each (pairs that were no firsts, pairs hung), in order of time.

    `without` are places (from 0) left out of the centre though still drawn: frames whose cause is known. `centre`, if
    given, is an earlier period's share, against which these frames are held. `exact` false keeps the normal limits for
    small frames, too. ValueError for no frames, a frame without pairs, or more seconds than pairs.
    """
    if not all(0 <= seconds <= hung and hung > 0 for seconds, hung in frames):
        raise ValueError("a frame has pairs, and no more seconds than pairs")
    if centre is None:
        counted = [frame for place, frame in enumerate(frames) if place not in without]
        if not counted:
            raise ValueError("a chart needs a frame to take its centre from")
        centre = sum(seconds for seconds, _ in counted) / sum(hung for _, hung in counted)
    return Chart(centre, tuple(_point(seconds, hung, centre, exact) for seconds, hung in frames))


def _point(seconds: int, hung: int, centre: float, exact: bool) -> Point:
    if exact and hung * centre < FEW:
        lower, upper = binomial_limits(hung, centre)
        return Point(seconds / hung, lower, upper, exact=True)
    reach = SIGMAS * sqrt(centre * (1 - centre) / hung)
    return Point(seconds / hung, max(0.0, centre - reach), min(1.0, centre + reach), exact=False)


def binomial_limits(hung: int, centre: float) -> tuple[float, float]:
    """Least and greatest share of a frame that is not rarer than RARE on its side, when the true share is `centre`."""
    if centre <= 0 or centre >= 1:
        return centre, centre
    chances = [_binomial(hung, k, centre) for k in range(hung + 1)]
    lower = next(k for k in range(hung + 1) if fsum(chances[: k + 1]) >= RARE)
    upper = next(k for k in range(hung, -1, -1) if fsum(chances[k:]) >= RARE)
    return lower / hung, upper / hung


def _binomial(hung: int, k: int, share: float) -> float:
    ways = lgamma(hung + 1) - lgamma(k + 1) - lgamma(hung - k + 1)
    return exp(ways + k * log(share) + (hung - k) * log1p(-share))
