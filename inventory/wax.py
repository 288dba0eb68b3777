"""Wax in a candle. No Django here: lengths in mm, densities in g/cm3, masses in g."""

from decimal import Decimal

PI = Decimal("3.14159265358979323846")


def frustum_volume(length: Decimal, base: Decimal, tip: Decimal) -> Decimal:
    """Volume in mm3 of a candle seen as a frustum: pi L (D^2 + D d + d^2) / 12.

    All three in mm. ValueError where a length or base is not above nought, or the tip is below nought
    or thicker than the base. Source: the formula of any table of solids.
    """
    length, base, tip = Decimal(length), Decimal(base), Decimal(tip)
    if length <= 0 or base <= 0 or tip < 0 or tip > base:
        raise ValueError(f"not a candle: length {length}, base {base}, tip {tip} mm")
    return PI * length * (base * base + base * tip + tip * tip) / 12


def frustum_mass(length: Decimal, base: Decimal, tip: Decimal, density: Decimal) -> Decimal:
    """Mass in g of one candle of that shape, to 0.01 g. `density` in g/cm3 of the solid wax."""
    if Decimal(density) <= 0:
        raise ValueError(f"density must be above nought, not {density}")
    return (frustum_volume(length, base, tip) * Decimal(density) / 1000).quantize(Decimal("0.01"))
