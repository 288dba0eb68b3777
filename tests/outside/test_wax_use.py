"""Wax out of a vat against worked figures. TRADE is the project's fact sheet, by its numbers."""

import pytest

from inventory.wax import frustum_mass
from production.wax_use import Bath, Hung, dip_mass_g, level_drop_mm, rise_mm, top_up_kg, turn_mass_g

VAT = Bath(depth_mm=400, area_mm2=300 * 400, level_mm=25, keep_mm=25, liquid_density=0.78)
ONE = Hung(candles=1, length_mm=250, base_mm=12, growth_mm=0.6, density=0.90)


def test_one_dip_of_the_worked_example():
    """TRADE P9, check value 7: D 12 to 12.6, L 250, 0.90 g/cm3: 2.60831 g."""
    assert dip_mass_g(ONE) == pytest.approx(2.60831, abs=5e-6)


@pytest.mark.parametrize(("grams", "mm"), [(43.2, 0.461538), (518.4, 5.538462), (1543.78, 16.493), (18_525, 197.9)])
def test_level_of_the_worked_example(grams, mm):
    """TRADE P10, check value 8: 0.12 m2, 780 kg/m3. A frame, a turn of twelve, a finished frame, twelve of them."""
    assert level_drop_mm(grams, VAT) == pytest.approx(mm, rel=2e-4)
    assert round(level_drop_mm(43.2, VAT), 6) == 0.461538


def test_top_up_is_the_mass_that_went_out():
    """TRADE P10: mass, not volume; volumes differ by 0.90 / 0.78 = 1.1538."""
    out_g = turn_mass_g([Hung(24, 250, 12, 0.6, 0.90)] * 12)
    drop = level_drop_mm(out_g, VAT)
    low = Bath(400, 120_000, 25 + drop, 25, 0.78)
    assert top_up_kg(low) == pytest.approx(out_g / 1000)
    solid_mm3 = out_g / 0.90 * 1000
    assert drop * 120_000 / solid_mm3 == pytest.approx(1.1538, abs=5e-5)


def test_candles_lift_the_wax_while_they_are_in_it():
    """TRADE P10: 24 candles of 71.471 cm3 over 0.12 m2: 14.294 mm."""
    assert rise_mm(24 * 71_471, VAT) == pytest.approx(14.294, abs=5e-4)


def test_all_dips_of_a_candle_weigh_what_the_candle_does():
    """Dip by dip from 2 to 22 mm (TRADE P9), a cylinder of wax about its wick weighs what the frustum formula says."""
    dips = [dip_mass_g(Hung(1, 250, 2 + 0.5 * n, 0.5, 0.90)) for n in range(40)]
    wick = frustum_mass(250, 2, 2, "0.90")
    assert sum(dips) == pytest.approx(float(frustum_mass(250, 22, 22, "0.90") - wick), abs=0.02)


def test_twelve_frames_can_not_be_finished_without_a_top_up():
    """TRADE P10: 12 frames of 24 dinner candles take 18.5 kg out: 197.9 mm, more than such a vat has to spare."""
    kilograms = 12 * 24 * 64.324 / 1000
    assert kilograms == pytest.approx(18.525, abs=1e-3)
    assert level_drop_mm(1000 * kilograms, VAT) > VAT.covered_mm - 250
