"""Firsts out of pairs hung, as a chance. No Django here: whole pairs, chances from 0 to 1.

How many pairs of a frame become firsts is beta-binomial: the share of firsts is unknown, it is *shared by all pairs
hung together* (a vat too hot spoils them all, not one), and its doubt is a beta distribution worth `good` firsts of
`of` pairs seen. So the chance is wider than if each pair fell by itself, and errs towards hanging one frame more.
Definition: any handbook of discrete distributions (Johnson, Kemp and Kotz); the tests compare it with a library.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import ceil, exp, fsum, lgamma, log

from production.student import incomplete_beta

EXACT_PAIRS = 20_000  # up to here every count is summed
MOST_PAIRS = 10**9  # anything above is a slip of the finger
MOST_FRAMES = 100_000
FEW_FRAMES = 4  # gradings that a recipe's own guess of the spread is worth: common practice, no source


@dataclass(frozen=True)
class Hanging:
    """Frames to hang, and why. `frames` is None where MOST_FRAMES would not do."""

    frames: int | None
    pairs: int  # hung on them
    chance: float  # that they give the pairs needed
    chance_with_one_less: float
    words: str


@dataclass(frozen=True)
class Rate:
    """The share of firsts: worth `good` firsts of `of` pairs (not whole), from so many graded frames."""

    good: float
    of: float
    frames: int = 0

    @property
    def share(self) -> float:
        return self.good / self.of


def chance_of_firsts(pairs: int, at_least: int, good: float, of: float) -> float:
    """P(firsts >= at_least) of `pairs` hung together, with a share worth `good` of `of`.

    Above EXACT_PAIRS the count is taken as a share with the same mean and spread, off by less than 1 in 1000.
    ValueError unless 0 < good < of, and unless 0 <= pairs <= MOST_PAIRS.
    """
    _check(pairs, good, of)
    if at_least <= 0:
        return 1.0
    if at_least > pairs:
        return 0.0
    good, of = float(good), float(of)
    if pairs > EXACT_PAIRS:
        return _as_share(pairs, at_least, good, of)
    # The shorter of the two tails is summed; both are exact to the last digits.
    if at_least <= pairs - at_least:
        return min(1.0, max(0.0, 1 - _sum(pairs, 0, at_least, good, of - good)))
    return min(1.0, _sum(pairs, at_least, pairs + 1, good, of - good))


def _check(pairs: int, good: float, of: float) -> None:
    if not 0 < good < of:
        raise ValueError(f"a share of firsts lies between none and all: {good} of {of} does not")
    if not 0 <= pairs <= MOST_PAIRS:
        raise ValueError(f"pairs hung lie between 0 and {MOST_PAIRS}, not {pairs}")


def _as_share(pairs: int, at_least: int, good: float, of: float) -> float:
    """The tail of the beta distribution whose mean and variance are those of the share of firsts among the pairs."""
    worth = pairs * (of + 1) / (pairs + of) - 1
    passed = (pairs - at_least + 0.5) / pairs
    return incomplete_beta(passed, 1 - passed, worth * (1 - good / of), worth * good / of)


@lru_cache(maxsize=8192)
def _sum(pairs: int, first: int, end: int, a: float, b: float) -> float:
    """Beta-binomial chances of first, first + 1 ... end - 1 firsts."""
    whole = lgamma(pairs + 1) - lgamma(pairs + a + b) + lgamma(a + b) - lgamma(a) - lgamma(b)
    return fsum(
        exp(whole - lgamma(k + 1) - lgamma(pairs - k + 1) + lgamma(k + a) + lgamma(pairs - k + b))
        for k in range(first, end)
    )


def expected_firsts(pairs: int, good: float, of: float, confidence: float) -> int:
    """The most firsts that `pairs` hung together give with that confidence: what a frame may be hung for.

    Largest k with P(firsts >= k) >= confidence; 0 where none is sure enough. ValueError as chance_of_firsts, and
    unless 0 < confidence < 1.
    """
    _check_confidence(confidence)
    low, high = 0, pairs
    while low < high:
        middle = (low + high + 1) // 2
        if chance_of_firsts(pairs, middle, good, of) >= confidence:
            low = middle
        else:
            high = middle - 1
    return low


def counted_on(frames: int, per_frame: int, good: float, of: float, confidence: float) -> tuple[int, ...]:
    """expected_firsts of 0, 1 ... `frames` frames of `per_frame` pairs hung together, all at once.

    Each number of firsts has its chance from the one before it, which is many times quicker than one by one; off from
    expected_firsts only where a chance meets the confidence to the last digits. ValueError as expected_firsts.
    """
    _check_confidence(confidence)
    _check(frames * per_frame, good, of)
    return tuple(_counted_on(count * per_frame, float(good), float(of), confidence) for count in range(frames + 1))


def _counted_on(pairs: int, good: float, of: float, confidence: float) -> int:
    if pairs > EXACT_PAIRS:
        return expected_firsts(pairs, good, of, confidence)
    bad = of - good
    chance_log = lgamma(pairs + bad) + lgamma(of) - lgamma(bad) - lgamma(pairs + of)  # of no firsts at all
    below, firsts, doubt = exp(chance_log), 0, 1 - confidence
    # `below` is the chance of `firsts` or fewer; one first more may be counted on while it is within the doubt.
    while below <= doubt and firsts < pairs:
        chance_log += log((pairs - firsts) * (firsts + good) / ((firsts + 1) * (pairs - firsts - 1 + bad)))
        firsts += 1
        below += exp(chance_log)
    return firsts


def _check_confidence(confidence: float) -> None:
    if not 0 < confidence < 1:
        raise ValueError(f"a confidence lies between 0 and 1, not {confidence}")


def frames_to_hang(need: int, per_frame: int, good: float, of: float, confidence: float) -> Hanging:
    """Fewest frames of `per_frame` pairs for which P(firsts >= need) >= confidence, with the reason in words.

    ValueError as chance_of_firsts, unless 0 < confidence < 1, for a frame without pairs and a need above MOST_PAIRS.
    """
    _check_confidence(confidence)
    if per_frame < 1:
        raise ValueError(f"a frame holds one pair or more, not {per_frame}")
    _check(max(need, 0), good, of)
    if need <= 0:
        return Hanging(0, 0, 1.0, 1.0, "Nothing to hang.")

    def chance(frames: int) -> float:
        return chance_of_firsts(frames * per_frame, need, good, of)

    most = min(MOST_FRAMES, MOST_PAIRS // per_frame)
    low, high = ceil(need / per_frame) - 1, ceil(need / per_frame)
    while high < most and chance(min(high, most)) < confidence:
        low, high = high, min(most, high + max(1, high - low) * 2)
    if high > most or chance(high) < confidence:
        best = chance(min(high, most))
        words = f"Even {most} frames would do only {in_hundred(best)}: too few pairs become firsts."
        return Hanging(None, most * per_frame, best, best, words)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if chance(middle) >= confidence else (middle, high)
    enough, less = chance(high), chance(high - 1)
    return Hanging(high, high * per_frame, enough, less, _hanging_in_words(high, need, per_frame, enough, less))


def _hanging_in_words(frames: int, need: int, per_frame: int, chance: float, less: float) -> str:
    if frames == 1:
        return f"1 frame: it gives {need} firsts {in_hundred(chance)}."
    count = f"{frames} frames: {frames - 1} would"
    if (frames - 1) * per_frame < need:
        return f"{count} hold only {(frames - 1) * per_frame} pairs."
    return f"{count} do only {in_hundred(less)}."


def in_hundred(chance: float) -> str:
    """A chance as people say it: never rounded up to a certainty or down to an impossibility."""
    if chance < 0.005:
        return "less than once in 100"
    if chance > 0.995:
        return "more than 99 times in 100"
    times = round(100 * chance)
    return "once in 100" if times == 1 else f"{times} times in 100"


def fit_firsts(gradings: Sequence[tuple[int, int]], good: float, of: float) -> Rate:
    """The share of firsts from past frames, each (firsts, pairs hung), begun from the recipe's `good` of `of`.

    The share is the recipe's and the frames' together, a frame counting for less the more frames differ. How much
    they differ, more than chance alone would have it, is estimated by moments (Kleinman 1973, Journal of the American
    Statistical Association 68, 46-54), where the recipe's guess counts as FEW_FRAMES frames. A frame without pairs is
    passed over. ValueError unless 0 < good < of and 0 <= firsts <= hung.
    """
    _check(0, good, of)
    if not all(0 <= firsts <= hung for firsts, hung in gradings):
        raise ValueError("a frame gives no more firsts than hung on it")
    frames = [(float(firsts), float(hung)) for firsts, hung in gradings if hung]
    good, of = float(good), float(of)
    if not frames:
        return Rate(good, of)
    alike = 1 / (of + 1)
    spread = (FEW_FRAMES * alike + (len(frames) - 1) * _spread(frames)) / (FEW_FRAMES + len(frames) - 1)
    worth = [hung / (1 + (hung - 1) * spread) for _, hung in frames]
    share = fsum([good, *(w * firsts / hung for w, (firsts, hung) in zip(worth, frames, strict=True))])
    share /= of + fsum(worth)
    # A share that was ever so well known would still be shared by a frame's pairs: the spread is never nought.
    pairs = 1 / max(spread, 1 / (of + fsum(worth) + 1)) - 1
    return Rate(share * pairs, pairs, len(frames))


def _spread(frames: Sequence[tuple[float, float]]) -> float:
    """Correlation between pairs of one frame, 0 to 0.5: what the shares of frames differ by beyond pure chance."""
    hung = fsum(n for _, n in frames)
    share = fsum(firsts for firsts, _ in frames) / hung
    by_chance = share * (1 - share)
    degrees = len(frames) - 1
    room = by_chance * (hung - fsum(n * n for _, n in frames) / hung - degrees)
    if room <= 0:
        return 0.0
    found = fsum(n * (firsts / n - share) ** 2 for firsts, n in frames)
    return min(0.5, max(0.0, (found - by_chance * degrees) / room))
