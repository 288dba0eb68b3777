"""Heat and lifting against published and usual limits. TRADE is the project's fact sheet, by its numbers."""

import pytest

from production.heat import HeatOfWax, WaxLimits, read_cautions, refuse_heat, set_cautions, top_up_heat_kj
from production.lifting import HEIGHTS, lifting_filter

# Congealing or melting point and the lowest flash point that any source gives, C.
WAXES = {
    "paraffin": WaxLimits(58, 190),  # W13 (common practice); W14: "about 190" in craft safety text, 230 by ASTM D92
    "beeswax": WaxLimits(63.5, 204, 85),  # W3, W5 (S3: 204.4), W6 (S1, S3)
    "stearin": WaxLimits(54, 196),  # W21 (S14), W23 (from memory)
}
# Where dippers keep the vat, C.
USUAL = {"paraffin": (71,), "beeswax": (71, 74), "stearin": (68,)}  # W30 (S20-S22), W32 (S23-S25), W31 (S23, S24)


@pytest.mark.parametrize("name", WAXES)
def test_usual_vats_of_every_wax_pass(name):
    """TRADE W30 to W32 within S-11 (common practice): a cut-out at 110 C, and nothing to caution."""
    for set_c in USUAL[name]:
        assert refuse_heat(set_c, 110, WAXES[name]) == ""
        assert set_cautions(set_c, 110, WAXES[name]) == []
        assert read_cautions(set_c, 110, WAXES[name]) == []


def test_margin_of_the_lowest_flash_point():
    """TRADE S-12, check value 10: 190 - 110 = 80 K (common practice): just enough."""
    assert set_cautions(71, 110, WAXES["paraffin"]) == []
    assert "79 K; 80 K are wanted" in set_cautions(71, 110, WaxLimits(58, 189))[0]


def test_the_finishing_dip_of_craft_texts_passes_as_one():
    """TRADE W30, D8: 82 C (180 F) for gloss (S20, S21); as a build dip it is cautioned (W34: S27, S28)."""
    assert read_cautions(82, 110, WAXES["paraffin"], finish=True) == []
    assert "melts back" in read_cautions(82, 110, WAXES["paraffin"])[0]


def test_beeswax_at_66_comes_out_bumpy():
    """TRADE F2 (S25, a beekeepers' forum): coarse at 66 C, smooth at 71 to 74."""
    assert "lumpy" in read_cautions(66, 110, WAXES["beeswax"])[0]


def test_heat_of_a_top_up():
    """TRADE P11, check value 8: 10 kg from 20 C, melting at 60, to 70 C: 3180 kJ = 0.883333 kWh. S7 gives 2.14 to 2.9
    kJ/(kg K) and 200 to 220 kJ/kg for paraffin; the example takes 2.4, 2.2 (from memory) and 200."""
    assert top_up_heat_kj(10, 60, 70, 20, HeatOfWax(2.4, 200, 2.2)) == pytest.approx(3180)
    assert top_up_heat_kj(10, 60, 70) / 3600 == pytest.approx(0.883333, abs=1e-6)


def test_lifting_filter_as_reproduced():
    """TRADE S-16, S-17: men read on a training page that reproduces the authority's figures; of the women's, 16 kg was
    read and the rest is from memory."""
    men = [(close, far) for close, far, _, _ in HEIGHTS.values()]
    women = [(close, far) for _, _, close, far in HEIGHTS.values()]
    assert men == [(10, 5), (20, 10), (25, 15), (20, 10), (10, 5)]
    assert women == [(7, 3), (13, 7), (16, 10), (13, 7), (7, 3)]


@pytest.mark.parametrize(("lifts", "men", "women"), [(0.5, 25, 16), (1.5, 17.5, 11.2), (6, 12.5, 8), (13, 5, 3.2)])
def test_lifting_filter_at_a_pace(lifts, men, women):
    """TRADE S-18 (S66), check value 10: 25 kg at 6 lifts a minute leave 12.5 kg, 16 kg leave 8.0."""
    found = lifting_filter(("knuckle to elbow",), lifts)
    assert (found.men_close, found.women_close) == pytest.approx((men, women))
