"""What a season will come to, from what is booked and how seasons before went on from the same day. No Django.

Growth on a past season is the ratio of what is booked to what was booked by the same day then. Orders come shop by
shop and in lumps: a sum of what independent shops take at random has a variance of about the sum of their squares
(compound Poisson), so that its relative variance is that over the square of the sum. Early in a season little is
booked and the ratio says little; the prior says that a year is like the one before, give or take a quarter (common
practice, no source). On the logarithm both are normal, and are weighed by their precisions. What comes after the day
is the past season's rest times the growth; its spread is that of the growth, of the rest then and of the rest now, and
of how far one season's curve strays from another's. That last is SHAPE_SD: what was left over on months of published
wholesale orders projected from one another (tests/outside/test_season.py), because nobody publishes seasons.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log, sqrt
from statistics import NormalDist, fmean, pvariance

GROWTH_SD = 0.25  # of the logarithm of growth from year to year, before anything is booked
SHAPE_SD = 0.30  # of the logarithm of what comes after the day, beyond all chance of single orders
SURE = 0.8  # of the range that is shown: 8 seasons in 10 end within it


@dataclass(frozen=True)
class Booked:
    """Pairs, and the sum of the squares of each shop's pairs among them."""

    pairs: int
    squares: int

    @classmethod
    def of(cls, by_shop: Sequence[int]) -> "Booked":
        return cls(sum(by_shop), sum(pairs * pairs for pairs in by_shop))

    @property
    def relative_variance(self) -> float:
        return self.squares / self.pairs**2 if self.pairs else 0.0


@dataclass(frozen=True)
class Past:
    """A season before: what was booked by the same day, and what came after it."""

    early: Booked
    late: Booked


@dataclass(frozen=True)
class Projection:
    """Pairs. `rest` still to come, and `low` to `high` of it; `growth` on the last season; `sigma` of ln(rest)."""

    booked: int
    rest: int
    low: int
    high: int
    growth: float
    sigma: float

    @property
    def total(self) -> int:
        return self.booked + self.rest

    @property
    def range(self) -> tuple[int, int]:
        """Of the whole season."""
        return self.booked + self.low, self.booked + self.high


def growth_on(now: Booked, early: Booked, prior_sd: float | None = GROWTH_SD) -> tuple[float, float]:
    """(mean, variance) of ln(growth) on a season that had `early` by the same day. `prior_sd` None: no prior at all.

    ValueError without a prior where nothing was booked in one of the two.
    """
    known = now.pairs > 0 and early.pairs > 0
    if not known and prior_sd is None:
        raise ValueError("nothing was booked by this day: there is no ratio")
    if not known:
        return 0.0, prior_sd**2
    ratio, variance = log(now.pairs / early.pairs), now.relative_variance + early.relative_variance
    if prior_sd is None:
        return ratio, variance
    weight = prior_sd**2 / (prior_sd**2 + variance)
    return weight * ratio, weight * variance


def project(
    now: Booked,
    pasts: Sequence[Past],
    *,
    prior_sd: float | None = GROWTH_SD,
    shape_sd: float = SHAPE_SD,
    sure: float = SURE,
) -> Projection | None:
    """The season from what is booked `now` and one or more seasons before, the last one first; None without any.

    Several seasons count alike; where they disagree by more than `shape_sd` (of a logarithm), that widens the range.
    `sure`: 0 to 1, of the range.
    """
    pasts = [past for past in pasts if past.early.pairs + past.late.pairs]
    if not pasts:
        return None
    growths = [growth_on(now, past.early, prior_sd) for past in pasts]
    growth = exp(growths[0][0])
    going_on = [(past, *grown) for past, grown in zip(pasts, growths, strict=True) if past.late.pairs]
    if not going_on:
        return Projection(now.pairs, 0, 0, 0, growth, 0.0)
    logs = [log(past.late.pairs) + mean for past, mean, _ in going_on]
    within = fmean(variance + 2 * past.late.relative_variance for past, _, variance in going_on)
    middle, sigma = fmean(logs), sqrt(within + max(shape_sd**2, pvariance(logs)))
    wide = NormalDist().inv_cdf((1 + sure) / 2) * sigma
    rest, low, high = (round(exp(middle + by)) for by in (0.0, -wide, wide))
    return Projection(now.pairs, rest, low, high, growth, sigma)
