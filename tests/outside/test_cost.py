"""The cost of a pair re-computed by hand, and the heat in it against TRADE P11."""

from decimal import Decimal

import pytest

from production.costing import Material, Rates, Work, cost_of_pair

# A taper 250 x 22/16 mm at 0.90 g/cm3: two candles of 64.324 g (TRADE P8).
PAIR_G = Decimal("128.648")
RATES = Rates(hour=Decimal("15"), kwh=Decimal("0.30"), heat_share=Decimal("0.75"))


def test_heat_of_ten_kilograms_costs_what_p11_says():
    # P11: 3180 kJ for 10 kg, 0.883333 kWh; at 30 p a kWh and three quarters reaching the wax 35.3 p.
    cost = cost_of_pair([], [], 3180, RATES)
    assert cost.total == Decimal("0.353")
    assert "3,180 kJ into the wax, 1.178 kWh" in cost.parts[0].basis


def test_a_taper_by_hand():
    # From memory, common figures: wax 2.40 GBP a kg, wick 9 p a metre, a 48-pair frame, 33 dips of 15 s.
    materials = [
        Material("Paraffin", "g", PAIR_G, Decimal("0.0024"), comes_back=True),
        Material("Wick", "mm", Decimal(620), Decimal("0.00009")),
        Material("Box", "piece", Decimal(1) / 24, Decimal("0.96")),
    ]
    works = [
        Work("Threading", Decimal(15) / 48, "15 min by 48"),
        Work("Dipping", Decimal(33 * 15) / 60 / 48, "33 dips by 48"),
        Work("Packing", Decimal(6) / 24, "6 min by 24", after=True),
    ]
    # P11 for 0.128648 kg: 318 kJ/kg x 0.128648 = 40.91 kJ.
    cost = cost_of_pair(materials, works, 318 * float(PAIR_G) / 1000, RATES)
    by_hand = {
        "Paraffin": "0.309",  # 128.648 x 0.0024 = 0.30876
        "Wick": "0.056",  # 620 x 0.00009 = 0.0558
        "Box": "0.040",  # 0.96 / 24
        "Threading": "0.078",  # 15/48/60 x 15 = 0.078125
        "Dipping": "0.043",  # 495/60/48/60 x 15 = 0.04297
        "Packing": "0.063",  # 6/24/60 x 15 = 0.0625, half up
        "Heat, electricity": "0.005",  # 40.91/3600/0.75 x 0.30 = 0.004546
    }
    assert {part.name: str(part.amount) for part in cost.parts} == by_hand
    assert cost.total == Decimal("0.594")


def test_spoilt_pairs_cost_their_wick_work_and_heat_again():
    # One pair in five melted again: every kept pair carries a quarter of a spoilt one (0.2 / 0.8).
    materials = [
        Material("Wax", "g", Decimal(100), Decimal("0.01"), comes_back=True),
        Material("Wick", "mm", Decimal(400), Decimal("0.001")),
        Material("Box", "piece", Decimal("0.1"), Decimal(1)),
    ]
    works = [Work("Dipping", Decimal(4), ""), Work("Packing", Decimal(8), "", after=True)]
    cost = cost_of_pair(materials, works, 0, RATES, spoilt=0.2)
    # Wick 0.40 and dipping 4/60 x 15 = 1.00, a quarter of both; wax, box and packing are not lost.
    assert cost.parts[-1].amount == Decimal("0.350")
    assert "20.0 % of the pairs hung" in cost.parts[-1].basis


@pytest.mark.parametrize("spoilt", [-0.1, 1, 1.5])
def test_no_share_of_spoilt_pairs(spoilt):
    with pytest.raises(ValueError, match="share of spoilt"):
        cost_of_pair([], [], 0, RATES, spoilt=spoilt)


def test_what_has_no_price_is_named_and_not_counted():
    cost = cost_of_pair([Material("Wax", "g", Decimal(100), None)], [], None, RATES)
    assert cost.total == 0
    assert cost.lacking == ("Wax", "Heat, electricity")
