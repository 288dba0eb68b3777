"""Wax in a candle. No Django here: lengths in mm, densities in g/cm3, masses in g."""

from dataclasses import dataclass
from decimal import Decimal

from inventory.words import per_cent

PI = Decimal("3.14159265358979323846")


def frustum_volume(length: Decimal, base: Decimal, tip: Decimal) -> Decimal:
    """Volume in mm3 of a candle seen as a frustum: pi L (D^2 + D d + d^2) / 12.

    All three in mm. ValueError where a length or base is not above nought, or the tip is below nought
    or thicker than the base. Source: the formula of any table of solids.
    """
    length, base, tip = Decimal(length), Decimal(base), Decimal(tip)
    if not all(figure.is_finite() for figure in (length, base, tip)):
        raise ValueError(f"not a candle: length {length}, base {base}, tip {tip} mm")
    if length <= 0 or base <= 0 or tip < 0 or tip > base:
        raise ValueError(f"not a candle: length {length}, base {base}, tip {tip} mm")
    return PI * length * (base * base + base * tip + tip * tip) / 12


def frustum_mass(length: Decimal, base: Decimal, tip: Decimal, density: Decimal) -> Decimal:
    """Mass in g of one candle of that shape, to 0.01 g. `density` in g/cm3 of the solid wax."""
    if not Decimal(density).is_finite() or Decimal(density) <= 0:
        raise ValueError(f"density must be above nought, not {density}")
    return (frustum_volume(length, base, tip) * Decimal(density) / 1000).quantize(Decimal("0.01"))


@dataclass(frozen=True)
class PairWeight:
    """How the weight of a pair came about. The wick is not counted."""

    volume_cm3: Decimal  # of one candle, to 0.01
    density: Decimal  # g/cm3
    one_g: Decimal  # to 0.01

    @property
    def pair_g(self) -> Decimal:
        return 2 * self.one_g


def pair_weight(length: Decimal, base: Decimal, tip: Decimal, density: Decimal) -> PairWeight:
    """Weight of two candles of that shape (mm) in a wax of that density (g/cm3), with the steps to it."""
    volume = (frustum_volume(length, base, tip) / 1000).quantize(Decimal("0.01"))
    return PairWeight(volume, Decimal(density), frustum_mass(length, base, tip, density))


# Solid densities (g/cm3) that handbooks give: beeswax 0.958 to 0.975 and paraffin 0.82 to 0.94 by pharmacopoeias
# and encyclopaedias, with room to either side (TRADE W1, W9); stearic acid 0.941 at 20 C (W19), and 0.02 allowed.
HANDBOOK = {
    "beeswax": (Decimal("0.94"), Decimal("0.98")),
    "paraffin": (Decimal("0.86"), Decimal("0.94")),
    "stear": (Decimal("0.92"), Decimal("0.96")),
}
# Share of the molten volume lost on setting; paraffin 13 %, stearic acid 10 % (TRADE W11, W19).
SHRINKAGE = (Decimal("0.08"), Decimal("0.16"))


def density_doubts(name: str, solid: Decimal, liquid: Decimal) -> list[str]:
    """What looks wrong about a wax's two densities (g/cm3), in sentences; empty where nothing does.

    The wax is known by its name; a blend may lie anywhere between its parts, an unknown wax anywhere. A doubt is not
    a refusal: the data sheet of the wax goes before the handbook.
    """
    doubts = []
    ranges = [limits for word, limits in HANDBOOK.items() if word in name.lower()]
    if ranges:
        low, high = min(low for low, high in ranges), max(high for low, high in ranges)
        if not low <= solid <= high:
            doubts.append(f"Handbooks give {low} to {high} g/cm3 for solid {name}, not {solid}.")
    shrinkage = 1 - Decimal(liquid) / Decimal(solid)
    if not SHRINKAGE[0] <= shrinkage <= SHRINKAGE[1]:
        doubts.append(f"{name} would shrink by {per_cent(shrinkage)} on setting; 8 to 16 % is usual.")
    return doubts
