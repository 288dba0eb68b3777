"""What a frame takes out of stock. No Django here: mm, whole grams; blends in per cent, dye in grams to a kilogram.

Wax is reckoned on the pairs hung, by the frustum, and shared over the runs that dipped the frame by the rings their
dips put on: the outer coats of a candle weigh more than the inner ones (TRADE P8, P9).
"""

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from math import ceil
from typing import TypeVar

Key = TypeVar("Key", bound=Hashable)


@dataclass(frozen=True)
class Coat:
    """What one run put on: dips, and the growth on the diameter a dip (mm)."""

    dips: int
    growth_mm: float


def wick_mm(pairs: int, length_mm: Decimal, over_mm: int) -> int:
    """Wick for so many pairs, whole mm: a pair is one wick, twice the candle's length and what goes over the bar."""
    return ceil(pairs * (2 * Decimal(length_mm) + over_mm))


def frame_grams(pairs: int, grams_a_pair: Decimal) -> int:
    """Wax of so many pairs, whole grams."""
    return int((pairs * Decimal(grams_a_pair)).quantize(Decimal(1), ROUND_HALF_UP))


def share_out(total: int, weights: Sequence[Decimal | float]) -> list[int]:
    """Whole parts of `total` as the weights are to each other; they add up to it exactly (largest remainder).

    Of equal remainders the first gets more. All weights nought: all goes to the first. ValueError without weights, or
    for one below nought.
    """
    if not weights or any(weight < 0 for weight in weights):
        raise ValueError(f"weights are not below nought, and there is one at least: {weights}")
    exact = [Decimal(weight) for weight in weights]
    if not sum(exact):
        return [total, *[0] * (len(exact) - 1)]
    ideal = [total * weight / sum(exact) for weight in exact]
    parts = [int(each) for each in ideal]
    by_remainder = sorted(range(len(ideal)), key=lambda n: (parts[n] - ideal[n], n))
    for n in by_remainder[: total - sum(parts)]:
        parts[n] += 1
    return parts


def grams_by_coat(grams: int, start_mm: float, coats: Sequence[Coat]) -> list[int]:
    """`grams` shared over the coats, inner first, as D_after^2 - D_before^2; D begins at `start_mm`."""
    diameter, rings = float(start_mm), []
    for coat in coats:
        after = diameter + coat.dips * float(coat.growth_mm)
        rings.append(after**2 - diameter**2)
        diameter = after
    return share_out(grams, rings)


def drawn_for(
    grams: int,
    remelt: int,
    blend: Mapping[Key, Decimal],
    dyes: Mapping[Key, Decimal],
) -> tuple[int, dict[Key, int]]:
    """(grams of our own remelt, grams of each bought material) for `grams` of one wax and colour.

    Remelt goes first as far as there is any (`remelt`, g); it is dyed already. The rest is the blend by its shares,
    and dye for that rest. A wax without a blend draws no bought wax and no dye.
    """
    own = min(grams, remelt)
    rest = grams - own
    if not blend or not rest:
        return own, {}
    amounts = dict(zip(blend, share_out(rest, list(blend.values())), strict=True))
    for dye, grams_a_kilo in dyes.items():
        amounts[dye] = int((Decimal(rest) * Decimal(grams_a_kilo) / 1000).quantize(Decimal(1), ROUND_HALF_UP))
    return own, amounts
