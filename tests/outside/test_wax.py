"""Wax in a candle, against published formulas and figures. TRADE is the project's fact sheet, by its numbers."""

from decimal import Decimal
from math import isclose

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.wax import HANDBOOK, density_doubts, frustum_mass, frustum_volume, pair_weight

SIZES = st.decimals(min_value=1, max_value=1200, places=1)


def test_frustum_of_the_worked_example():
    """TRADE P8; formula of S52, geometry-formulas.com, "frustum cone". L 250, D 22, d 16: V = 71 471.233 mm3."""
    assert round(frustum_volume(250, 22, 16), 3) == Decimal("71471.233")


@pytest.mark.parametrize(
    ("base", "tip", "density", "grams"),
    [
        (22, 16, "0.90", "64.324"),  # TRADE P8 and check value 6
        (22, 16, "0.96", "68.612"),
        (22, 22, "0.90", "85.530"),  # d = D: the cylinder
        (22, 0, "0.90", "28.510"),  # d = 0: the cone
    ],
)
def test_mass_of_the_worked_examples(base, tip, density, grams):
    """TRADE P8, calculated there to a thousandth; the book keeps hundredths."""
    assert frustum_mass(250, base, tip, Decimal(density)) == round(Decimal(grams), 2)


@pytest.mark.parametrize(
    ("length", "base", "tip", "grams"),
    [
        (76, 5, 5, "1.34"),  # Z1 birthday taper
        (314, "6.35", "6.35", "8.95"),  # Z2 flower taper
        (260, 12, 12, "26.5"),  # Z3 small taper
        (250, 22, 16, "64.32"),  # Z4 dinner candle
        (100, 22, 22, "34.2"),  # Z5 stub
        (300, 30, 30, "190.9"),  # Z6 church candle
    ],
)
def test_mass_of_the_usual_sizes(length, base, tip, grams):
    """TRADE Z1 to Z6, at 0.90 g/cm3 (sizes from S37, S38 and common practice; masses calculated there)."""
    mass = frustum_mass(length, Decimal(base), Decimal(tip), Decimal("0.90"))
    half_of_the_last_digit = Decimal(5).scaleb(Decimal(grams).as_tuple().exponent - 1)
    assert abs(mass - Decimal(grams)) <= half_of_the_last_digit


def by_slices(length: float, base: float, tip: float, slices: int = 2000) -> float:
    """The same volume summed slice by slice: Simpson's rule over the square of the diameter."""
    step = length / slices
    area = [3.141592653589793 / 4 * (base + (tip - base) * n / slices) ** 2 for n in range(slices + 1)]
    return step / 3 * (area[0] + area[-1] + 4 * sum(area[1:-1:2]) + 2 * sum(area[2:-1:2]))


@given(SIZES, SIZES, SIZES)
def test_volume_agrees_with_numeric_integration(length, one, other):
    """Against a sum over slices, which knows nothing of the formula."""
    base, tip = max(one, other), min(one, other)
    assert isclose(float(frustum_volume(length, base, tip)), by_slices(*map(float, (length, base, tip))), rel_tol=1e-9)


@given(SIZES, SIZES)
def test_identities(length, base):
    """TRADE P8: d = D gives pi D^2 L / 4, and d = 0 a third of it."""
    cylinder, cone = frustum_volume(length, base, base), frustum_volume(length, base, 0)
    assert isclose(float(cylinder), 3.141592653589793 / 4 * float(base) ** 2 * float(length), rel_tol=1e-12)
    assert isclose(float(cone), float(cylinder) / 3, rel_tol=1e-12)


def test_steps_of_a_pair():
    """TRADE P8 again: 71.47 cm3 each, 64.32 g each, so 128.64 g the pair."""
    weight = pair_weight(250, 22, 16, Decimal("0.900"))
    assert (weight.volume_cm3, weight.one_g, weight.pair_g) == (Decimal("71.47"), Decimal("64.32"), Decimal("128.64"))


@pytest.mark.parametrize(
    "shape", [(0, 22, 16), (-1, 22, 16), (250, 0, 0), (250, 16, 22), (250, 22, -1), ("NaN", 22, 16), (250, "inf", 1)]
)
def test_what_is_no_candle_is_refused(shape):
    with pytest.raises(ValueError, match="not a candle"):
        frustum_volume(*map(Decimal, shape))


@pytest.mark.parametrize("density", ["0", "-0.9", "NaN"])
def test_what_is_no_density_is_refused(density):
    with pytest.raises(ValueError, match="density"):
        frustum_mass(250, 22, 16, Decimal(density))


@pytest.mark.parametrize(
    ("name", "published"),
    [
        ("beeswax", ("0.958", "0.970", "0.960")),  # W1: S1, S2, and the pharmacopoeia's "about 0.960"
        ("paraffin", ("0.890", "0.905", "0.90")),  # W9: USP of 1911 (S6), 900 kg/m3 (S7)
        ("stear", ("0.9408",)),  # W19: stearic acid at 20 C (S13)
    ],
)
def test_published_densities_lie_within_the_handbook_ranges(name, published):
    low, high = HANDBOOK[name]
    assert all(low <= Decimal(figure) <= high for figure in published)


@pytest.mark.parametrize(
    ("name", "solid", "liquid"),
    [
        ("Beeswax", "0.960", "0.830"),  # W1; W2 (from memory)
        ("Paraffin 58", "0.900", "0.780"),  # W9; W10 (from memory)
        ("Stearin", "0.941", "0.847"),  # W19, S13
        ("Soy", "0.900", "0.810"),  # W25, S18; molten from memory: no handbook range is kept for it
    ],
)
def test_usual_waxes_raise_no_doubt(name, solid, liquid):
    assert density_doubts(name, Decimal(solid), Decimal(liquid)) == []


@pytest.mark.parametrize(
    ("name", "solid", "liquid", "word"),
    [
        ("Beeswax", "0.930", "0.820", "0.94 to 0.98"),  # W1: outside 0.94-0.98
        ("Paraffin", "0.950", "0.830", "0.86 to 0.94"),  # W9: outside 0.86-0.94
        ("Stearin", "0.990", "0.880", "0.92 to 0.96"),  # W19
        ("Paraffin", "0.900", "0.850", "shrink by 6 %"),  # W11: 8 to 16 % is accepted
    ],
)
def test_densities_outside_the_handbook_are_doubted(name, solid, liquid, word):
    (doubt,) = density_doubts(name, Decimal(solid), Decimal(liquid))
    assert word in doubt


def test_a_blend_may_lie_between_its_parts():
    """W24: stearin in paraffin is no weighted mean, so only the outer limits are asked."""
    assert density_doubts("Stearin in paraffin", Decimal("0.955"), Decimal("0.840")) == []
    assert density_doubts("Stearin in paraffin", Decimal("0.970"), Decimal("0.850")) != []


def test_melted_beeswax_heavier_than_solid_is_a_misprint():
    """W2: S3 prints 0.9822 for melted beeswax; the likely figure is 0.822."""
    assert density_doubts("Beeswax", Decimal("0.960"), Decimal("0.982")) != []
