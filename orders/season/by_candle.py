"""Which candles the rest of a season will be. No Django: whole pairs by candle.

A candle's share of what is still to come is half its share of what came after this day last season, half its share of
what is booked this season: the one knows what is bought late, the other what is bought this year. A candle that is new
has only the second, one that is out of the catalogue has none. The parts add up to the whole.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from math import exp, log1p, sqrt
from statistics import NormalDist

from orders.season.projection import SURE, Projection


@dataclass(frozen=True)
class CandleOutlook:
    """Pairs of one candle: `booked`, `early` (by the same day last season) and `last` (in all of it); `rest` to come,
    `low` to `high` of it. `share`, 0 to 1, of the whole rest."""

    candle: int
    booked: int
    early: int
    last: int
    rest: int
    low: int
    high: int
    share: float

    @property
    def total(self) -> int:
        return self.booked + self.rest


def shares_of(late: Mapping[int, int], now: Mapping[int, int], sold: Collection[int]) -> dict[int, float]:
    """Each candle's share of the rest, adding up to 1 over the candles still `sold`; {} where nobody bought any."""
    parts = [{candle: part.get(candle, 0) for candle in sold if part.get(candle, 0) > 0} for part in (late, now)]
    parts = [part for part in parts if part]
    found: dict[int, float] = {}
    for part in parts:
        for candle, pairs in part.items():
            found[candle] = found.get(candle, 0.0) + pairs / sum(part.values()) / len(parts)
    return found


def outlook_by_candle(
    whole: Projection,
    *,
    now: Mapping[int, int],
    early: Mapping[int, int],
    late: Mapping[int, int],
    sold: Collection[int],
    line: float,
    sure: float = SURE,
) -> list[CandleOutlook]:
    """Every candle booked this season or last, by key. `early` and `late`: last season's up to this day and after it.

    `line`: mean pairs of a line, each line weighted by its own pairs (sum of squares over sum). Lines of a candle come
    at random, so a rest of r pairs varies by line / r besides what the whole varies by.
    """
    shares = shares_of(late, now, sold)
    rests = in_whole_pairs({candle: share * whole.rest for candle, share in shares.items()}, whole.rest)
    z = NormalDist().inv_cdf((1 + sure) / 2)
    found = []
    for candle in sorted({*now, *early, *late, *shares}):
        rest, share = rests.get(candle, 0), shares.get(candle, 0.0)
        low, high = _range(share * whole.rest, whole.sigma, line, z)
        last = early.get(candle, 0) + late.get(candle, 0)
        found.append(CandleOutlook(candle, now.get(candle, 0), early.get(candle, 0), last, rest, low, high, share))
    return found


def _range(rest: float, sigma: float, line: float, z: float) -> tuple[int, int]:
    """Pairs the rest of a candle stays within: lognormal, its relative variance the whole's and its own lines'."""
    if rest <= 0:
        return 0, 0
    own = sqrt(sigma**2 + log1p(line / rest))
    return round(rest * exp(-z * own)), round(rest * exp(z * own))


def in_whole_pairs(exact: Mapping[int, float], whole: int) -> dict[int, int]:
    """The numbers rounded so that they add up to `whole`: down first, then one more where most was cut off.

    `whole` lies within half a pair a row of their sum.
    """
    found = {key: int(value) for key, value in exact.items()}
    cut = sorted(exact, key=lambda key: (found[key] - exact[key], key))
    for key in cut[: whole - sum(found.values())]:
        found[key] += 1
    return found
