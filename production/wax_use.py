"""Wax out of a vat, and how far down that brings it. No Django here: mm, mm2, g, kg; densities in g/cm3.

What leaves is what goes out on the frames; drips run back (TRADE P10). What is put back is the same mass, not the same
volume, since wax shrinks as it sets. Levels are in mm below the rim, so a larger figure is a lower level.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor, inf, pi

BOTTOM_MM = 20  # kept free below the candles: touching the bottom bends them (TRADE F5); figure common practice
MOST_TURNS = 100_000


@dataclass(frozen=True)
class Hung:
    """Candles of one kind on a frame: two to a pair. Length and present base in mm, growth in mm a dip."""

    candles: int
    length_mm: float
    base_mm: float
    growth_mm: float
    density: float


@dataclass(frozen=True)
class Bath:
    """A vat's inside depth and surface, the level now and the fullest allowed (mm below the rim), its wax molten."""

    depth_mm: float
    area_mm2: float
    level_mm: float
    keep_mm: float
    liquid_density: float

    @property
    def covered_mm(self) -> float:
        """Longest candle that the wax covers now, clear of the bottom."""
        return max(0.0, float(self.depth_mm) - float(self.level_mm) - BOTTOM_MM)

    @property
    def covered_full_mm(self) -> float:
        """Longest candle that the vat covers when it is full."""
        return max(0.0, float(self.depth_mm) - float(self.keep_mm) - BOTTOM_MM)


def dip_mass_g(hung: Hung) -> float:
    """Wax one dip puts on these candles: rho pi L ((D + g)^2 - D^2) / 4 each (TRADE P9).

    A coat of even thickness from top to bottom; the taper makes it a little less. ValueError for a shape or density
    that is not above nought.
    """
    length, base, growth, density = (float(f) for f in (hung.length_mm, hung.base_mm, hung.growth_mm, hung.density))
    if not (length > 0 and base > 0 and growth >= 0 and density > 0 and hung.candles >= 0):
        raise ValueError(f"not candles: {hung}")
    return hung.candles * density / 1000 * pi * length * ((base + growth) ** 2 - base**2) / 4


def turn_mass_g(frames: Sequence[Hung]) -> float:
    """Wax one turn takes out: every hung frame dipped once."""
    return sum(dip_mass_g(frame) for frame in frames)


def level_drop_mm(mass_g: float, bath: Bath) -> float:
    """How far the level falls when that much wax leaves: mass / (liquid density x surface) (TRADE P10)."""
    return float(mass_g) / _grams_a_mm(bath)


def rise_mm(volume_mm3: float, bath: Bath) -> float:
    """How far the level rises while candles of that volume are in it (TRADE P10)."""
    return float(volume_mm3) / float(bath.area_mm2)


def top_up_kg(bath: Bath, to_mm: float | None = None) -> float:
    """Wax that brings the level up to `to_mm` below the rim, or to the fullest allowed; 0 where it stands higher."""
    to = float(bath.keep_mm if to_mm is None else to_mm)
    return max(0.0, float(bath.level_mm) - to) * _grams_a_mm(bath) / 1000


def _grams_a_mm(bath: Bath) -> float:
    grams = float(bath.liquid_density) * float(bath.area_mm2) / 1000
    if not 0 < grams < inf:
        raise ValueError(f"no vat: surface {bath.area_mm2} mm2, liquid density {bath.liquid_density} g/cm3")
    return grams


def turns_covered(bath: Bath, frames: Sequence[Hung]) -> int | None:
    """Whole turns, begun now, in which the wax covers the longest candle hung without a top-up; None for ever.

    Each turn's coat is reckoned on the diameter the one before left. 0 where the next turn would not be covered.
    """
    if not any(frame.growth_mm for frame in frames):
        return None if not frames or bath.covered_mm >= _longest(frames) else 0
    spare_g = (bath.covered_mm - _longest(frames)) * _grams_a_mm(bath)
    if spare_g < 0:
        return 0
    # The mass of n coats is a + b n squared: every coat is as thick as the last, on a thicker candle.
    square = sum(frame.candles * _grams_of_ring(frame) * float(frame.growth_mm) ** 2 for frame in frames)
    linear = sum(
        2 * frame.candles * _grams_of_ring(frame) * float(frame.base_mm) * float(frame.growth_mm) for frame in frames
    )
    turns = (-linear + (linear**2 + 4 * square * spare_g) ** 0.5) / (2 * square)
    # The turn that starts while the candles are still covered is covered.
    return min(MOST_TURNS, floor(turns + 1e-9) + 1)


def _longest(frames: Sequence[Hung]) -> float:
    return max(float(frame.length_mm) for frame in frames)


def _grams_of_ring(frame: Hung) -> float:
    return float(frame.density) / 1000 * pi * float(frame.length_mm) / 4


def refuse_hanging(bath: Bath, length_mm: float) -> str:
    """Why a candle of that length can't be dipped here now, with the top-up that would do; empty where it can."""
    length = float(length_mm)
    if length > bath.covered_full_mm:
        return (
            f"The vat is too shallow: full, it covers {bath.covered_full_mm:.0f} mm of candle "
            f"({BOTTOM_MM} mm kept clear of the bottom), and this one is {length:.0f} mm long."
        )
    if length > bath.covered_mm:
        level = float(bath.depth_mm) - BOTTOM_MM - length
        kilograms = ceil(top_up_kg(bath, level) * 10 - 1e-9) / 10
        return (
            f"The wax is too low: it covers {bath.covered_mm:.0f} mm of candle, and this one is {length:.0f} mm long. "
            f"Top up with {kilograms:.1f} kg of molten wax first."
        )
    return ""


def caution_covering(bath: Bath, frames: Sequence[Hung], soon: int = 10) -> str:
    """A sentence when the wax will cover the longest candle for fewer than `soon` turns more; empty otherwise."""
    turns = turns_covered(bath, frames)
    if turns is None or turns >= soon:
        return ""
    if turns == 0:
        return refuse_hanging(bath, _longest(frames))
    kilograms = top_up_kg(bath)
    more = f"After {turns} turn{'' if turns == 1 else 's'} more the wax no longer covers the longest candle"
    if kilograms < 0.05:
        return f"{more}, and the vat is as full as it may be: keep it topped up with molten wax at every turn."
    return f"{more}: top up with {kilograms:.1f} kg of molten wax (cold pellets float)."


def volume_mm3(hung: Hung) -> float:
    """What the candles of a frame displace, as cylinders of their present base."""
    return hung.candles * pi / 4 * float(hung.base_mm) ** 2 * float(hung.length_mm)


def caution_rim(bath: Bath, frames: Sequence[Hung]) -> str:
    """A sentence when one of the frames, dipped, would lift the wax to the rim; empty otherwise."""
    rise, level = rise_mm(max((volume_mm3(frame) for frame in frames), default=0), bath), float(bath.level_mm)
    if rise < level:
        return ""
    return f"Dipped, the largest frame lifts the wax by {rise:.0f} mm; it stands {level:.0f} mm below the rim."
