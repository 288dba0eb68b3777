"""Why a dip adds what it adds: the physics of one coat. No Django here: SI units, and mm where the name says so.

Three things happen in the wax: some is dragged out as a film (Landau, Levich and Derjaguin), more freezes on because
the core is cold, and the longer the candle stays the more melts back. This tells whether a recipe's growth is of the
right order; the workshop's own readings decide (TRADE P1 to P6; liquid figures there are from memory).
"""

from dataclasses import dataclass
from math import erf, exp, pi, sqrt

GRAVITY = 9.80665  # m/s2
COLD_K, DRAWN = 25, 0.05  # the worked example's core, that much below melting, drawn out at so many m/s (P1, P4)


@dataclass(frozen=True)
class Wax:
    """A wax about its melting point: paraffin, where nothing else is given (TRADE W10, W15 to W18, P1, P4, P6)."""

    viscosity: float = 0.005  # Pa s, molten
    tension: float = 0.028  # N/m, molten
    liquid: float = 780  # kg/m3
    solid: float = 900  # kg/m3
    heat_solid: float = 2400  # J/(kg K)
    heat_liquid: float = 2200  # J/(kg K)
    melting: float = 200_000  # J/kg
    conducts_solid: float = 0.24  # W/(m K)
    conducts_liquid: float = 0.15  # W/(m K)


PARAFFIN = Wax()


def capillary_number(speed: float, wax: Wax = PARAFFIN) -> float:
    """mu U / sigma for a candle drawn out at `speed` m/s."""
    return wax.viscosity * speed / wax.tension


def film_mm(speed: float, wax: Wax = PARAFFIN) -> float:
    """Molten film that a candle drawn out at `speed` m/s drags along (TRADE P1, plate form, capped for quick ones)."""
    capillary = capillary_number(speed, wax)
    length = sqrt(wax.tension / (wax.liquid * GRAVITY))
    return 1000 * length * min(0.944 * capillary ** (2 / 3), capillary**0.5)


def frozen_mm(seconds: float, below_k: float, wax: Wax = PARAFFIN) -> float:
    """Wax frozen on while a thick core, `below_k` colder than melting, stays in for `seconds` (TRADE P4)."""
    spreads = wax.conducts_solid / (wax.solid * wax.heat_solid)
    return 1000 * 2 * (wax.heat_solid * below_k / wax.melting) * sqrt(spreads * seconds / pi)


def most_frozen_mm(radius_mm: float, below_k: float, wax: Wax = PARAFFIN) -> float:
    """The most that can freeze on a core of that radius: all its cold used up (TRADE P5)."""
    return radius_mm * wax.heat_solid * below_k / (2 * wax.melting)


def stefan_root(stefan: float) -> float:
    """lambda with lambda exp(lambda^2) erf(lambda) = Ste / sqrt(pi), by halving (TRADE P6). ValueError unless > 0."""
    if not stefan > 0:
        raise ValueError(f"the Stefan number is above nought, not {stefan}")
    low, high = 0.0, 1.0
    while _stefan_side(high) < stefan:
        high *= 2
    for _ in range(100):
        middle = (low + high) / 2
        low, high = (middle, high) if _stefan_side(middle) < stefan else (low, middle)
    return (low + high) / 2


def _stefan_side(root: float) -> float:
    return sqrt(pi) * root * exp(root * root) * erf(root)


def melted_back_mm(seconds: float, above_k: float, wax: Wax = PARAFFIN) -> float:
    """Wax a warm core loses in `seconds` in a vat `above_k` hotter than melting (TRADE P6, one-phase Stefan)."""
    spreads = wax.conducts_liquid / (wax.liquid * wax.heat_liquid)
    return 1000 * 2 * stefan_root(wax.heat_liquid * above_k / wax.melting) * sqrt(spreads * seconds)


def growth_mm(
    seconds: float,
    below_k: float = COLD_K,
    speed: float = DRAWN,
    radius_mm: float | None = None,
    wax: Wax = PARAFFIN,
) -> float:
    """What a dip should add to the diameter: film once set, and wax frozen on, both sides (TRADE P1 with P4 and P5).

    The right order only: in the worked example 0.53 mm, against 0.61 to 0.64 mm seen (D1).
    """
    frozen = frozen_mm(seconds, below_k, wax)
    if radius_mm is not None:
        frozen = min(frozen, most_frozen_mm(radius_mm, below_k, wax))
    return 2 * (film_mm(speed, wax) * wax.liquid / wax.solid + frozen)
