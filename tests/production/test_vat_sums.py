"""What a vat's page reckons: heat for a top-up, wax that would rise to the rim. And what holds a recipe's growth."""

from decimal import Decimal

import pytest
from django.urls import reverse

from production.models import WaxHeat
from production.queries.vats import cautions_at, vats_as_read, wanted_kg, wanted_kwh
from production.stages import Dipped, Heat, doubts_of
from tests.factories import (
    make_candle,
    make_carousel,
    make_frame,
    make_heat,
    make_person,
    make_recipe,
    make_run,
    make_vat,
)


def read(vat):
    return vats_as_read().get(pk=vat.pk)


@pytest.mark.django_db
def test_heat_that_melts_what_fills_a_vat_up():
    """TRADE P11's figures: 2.4 kJ/(kg K) from 20 to 58 C, 200 kJ/kg, 2.2 kJ/(kg K) on to 70 C: 317.6 kJ a kg."""
    vat = make_vat(level_mm=Decimal("45"), set_c=Decimal("70"))
    make_heat(vat.wax, congeals_c=Decimal("58"))
    kilograms = wanted_kg(read(vat))
    assert kilograms == pytest.approx(Decimal("0.24") * 20 * vat.wax.density_liquid, abs=Decimal("0.1"))
    assert wanted_kwh(read(vat)) == pytest.approx(float(kilograms) * 317.6 / 3600)


@pytest.mark.django_db
def test_a_wax_nobody_knows_has_no_heat_reckoned():
    vat = make_vat(level_mm=Decimal("45"))
    WaxHeat.objects.all().delete()
    assert wanted_kwh(read(vat)) is None


@pytest.mark.django_db
def test_a_wax_that_is_not_molten_has_no_heat_reckoned():
    vat = make_vat(level_mm=Decimal("45"), set_c=Decimal("60"))
    make_heat(vat.wax, congeals_c=Decimal("63"))
    assert wanted_kwh(read(vat)) is None


@pytest.mark.django_db
@pytest.mark.parametrize(("level", "said"), [("45", True), ("25", False)])
def test_the_vat_s_page_says_the_heat_only_where_wax_is_wanted(client, level, said):
    client.force_login(make_person("dipper"))
    page = client.get(reverse("vat", args=[make_vat(level_mm=Decimal(level)).pk])).content.decode()
    assert ("melting it takes about" in page) is said


@pytest.mark.django_db
@pytest.mark.parametrize(("dips", "said"), [(3, False), (33, True)])
def test_a_frame_that_would_lift_the_wax_to_the_rim_is_cautioned(dips, said):
    """96 candles of 22 mm displace 38 mm of a vat of 0.24 m2; thin ones hardly any."""
    candle = make_candle(base_mm=22, length_mm=250)
    make_recipe(candle)
    vat, carousel = make_vat(), make_carousel()
    make_run(carousel=carousel, vat=vat)
    make_frame(candle, carousel=carousel, position=1, state="hanging", hung=48, dips=dips, stage_dips=dips)
    assert any("lifts the wax" in caution for caution in cautions_at(read(vat)).level) is said


def test_an_unusual_growth_is_held_against_physics():
    """TRADE P1 to P4: film and freezing give about 0.5 mm in 3 seconds."""
    stage = Dipped(Decimal(70), Decimal("2.5"), 3, False, Heat(Decimal(58)), "Paraffin")
    (doubt,) = doubts_of(stage)
    assert doubt.startswith(
        "A dip usually adds 0.3 to 1.2 mm, not 2.5; heat and flow reckon about 0.5 mm for 3 seconds"
    )


@pytest.mark.parametrize(
    ("celsius", "congeals", "said"),
    [("70", "60", ": a warm candle loses about 0.7 mm in 30 seconds."), ("60", "60", "back."), ("60", None, "back.")],
)
def test_too_long_a_dip_is_held_against_physics(celsius, congeals, said):
    """TRADE P6: 10 K above melting, 30 seconds: 0.746 mm."""
    heat = Heat(congeals and Decimal(congeals))
    doubts = doubts_of(Dipped(Decimal(celsius), Decimal("0.6"), 30, False, heat, "Paraffin"))
    assert doubts[-1].startswith("More than 10 seconds in the wax melts it back")
    assert doubts[-1].endswith(said)
