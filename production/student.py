"""Student's t without a library: its tails and the points that cut them off. Plain numbers, no units.

The regularised incomplete beta function is worked out by its continued fraction (Handbook of Mathematical Functions,
Abramowitz and Stegun, 26.5.8), t from it (26.7.1); the tests compare both with a reference library.
"""

from functools import lru_cache
from math import exp, lgamma, log, log1p, pi, sqrt
from statistics import NormalDist

TINY, CLOSE, MOST_STEPS = 1e-300, 1e-16, 100_000


def incomplete_beta(x: float, y: float, a: float, b: float) -> float:
    """I_x(a, b), for a and b above nought. `y` is 1 - x, given apart so that neither loses digits near nought."""
    if x <= 0:
        return 0.0
    if y <= 0:
        return 1.0
    front = exp(lgamma(a + b) - lgamma(a) - lgamma(b) + a * log(x) + b * log(y))
    # The fraction converges quickly on this side of the mean only.
    if x < (a + 1) / (a + b + 2):
        return front * _fraction(x, a, b) / a
    return 1 - front * _fraction(y, b, a) / b


def _fraction(x: float, a: float, b: float) -> float:
    """The continued fraction of the incomplete beta function, by Lentz's way of working one out forwards."""
    c, d = 1.0, 1 / _not_nought(1 - (a + b) * x / (a + 1))
    value = d
    for m in range(1, MOST_STEPS):
        before = value
        for step in (
            m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m)),
            -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1)),
        ):
            d = 1 / _not_nought(1 + step * d)
            c = _not_nought(1 + step / c)
            value *= d * c
        if abs(value - before) <= CLOSE * abs(value):
            break
    return value


def _not_nought(figure: float) -> float:
    return figure if abs(figure) > TINY else TINY


def chance_above(t: float, df: float) -> float:
    """P(T > t) of Student's t with `df` degrees of freedom, which need not be whole. ValueError unless df > 0."""
    if not df > 0:
        raise ValueError(f"Student's t needs more than {df} degrees of freedom")
    whole = df + t * t
    tail = incomplete_beta(df / whole, t * t / whole, df / 2, 0.5) / 2
    return tail if t >= 0 else 1 - tail


@lru_cache(maxsize=4096)
def point_above(tail: float, df: float) -> float:
    """The t that is passed with chance `tail`. ValueError unless 0 < tail < 1 and df > 0."""
    if not 0 < tail < 1:
        raise ValueError(f"a chance lies between 0 and 1, not {tail}")
    if tail > 0.5:
        return -point_above(1 - tail, df)
    low, high = 0.0, max(1.0, NormalDist().inv_cdf(1 - tail) if tail > 1e-12 else 8.0)
    while chance_above(high, df) > tail:
        low, high = high, high * 2
    t = high
    while high - low > 1e-14 * high:
        excess = chance_above(t, df) - tail
        low, high = (t, high) if excess > 0 else (low, t)
        # Newton's step where it stays between the bounds, halving where it does not.
        step = t + excess / _density(t, df)
        nearer = step if low < step < high else (low + high) / 2
        if abs(nearer - t) <= 1e-15 * abs(t):
            break
        t = nearer
    return t


def _density(t: float, df: float) -> float:
    peak = lgamma((df + 1) / 2) - lgamma(df / 2) - log(sqrt(df * pi))
    return exp(peak - (df + 1) / 2 * log1p(t * t / df))
