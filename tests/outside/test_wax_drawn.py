"""Wax shared over the runs that put it on, against the dip-by-dip masses of TRADE P9, and amounts of P8 re-added.

TRADE is the project's fact sheet, by its numbers.
"""

from decimal import Decimal
from math import isclose

from production.wax_drawn import Coat, drawn_for, frame_grams, grams_by_coat
from production.wax_use import Hung, dip_mass_g


def one_dip(base_mm: float, growth_mm: float) -> float:
    """Grams that one dip puts on one candle of 250 mm at 0.90 g/cm3."""
    return dip_mass_g(Hung(1, 250, base_mm, growth_mm, 0.90))


def test_a_coat_weighs_what_its_dips_weigh_one_by_one():
    """P9 and check value 7: D 12 to 12.6 mm is 2.60831 g. 20 dips of 0.6 mm from 2 mm, then 13 more, added singly."""
    assert isclose(one_dip(12, 0.6), 2.60831, abs_tol=5e-6)
    inner = sum(one_dip(2 + 0.6 * n, 0.6) for n in range(20))
    outer = sum(one_dip(2 + 0.6 * n, 0.6) for n in range(20, 33))
    shared = grams_by_coat(1_000_000, 2, [Coat(20, 0.6), Coat(13, 0.6)])
    assert isclose(shared[0] / shared[1], inner / outer, rel_tol=1e-5)


def test_a_frame_of_dinner_candles_by_hand():
    """P8, check value 6: 64.324 g a candle of 250 x 22/16 mm at 0.90, 64.32 as the book keeps it; 48 pairs by hand.

    96 x 64.32 = 6174.72 g; of it 80 % and 20 % of 6175 g, and 3 g of dye to a kilogram: 18.525 g. Shares and dose are
    common practice, no source.
    """
    grams = frame_grams(48, 2 * Decimal("64.32"))
    assert grams == 6175
    assert drawn_for(grams, 0, {"paraffin": Decimal(80), "stearin": Decimal(20)}, {"red": Decimal(3)}) == (
        0,
        {"paraffin": 4940, "stearin": 1235, "red": 19},
    )
