"""Wax for new frames: by the lots where a wax has a blend, else as typed; the dip plan and the set-up say which."""

from decimal import Decimal

import pytest

from inventory.domain.material_lots import adjust_material_lot
from inventory.models import Wax
from production.domain.grading import grade_frame
from production.models import WaxHeat
from production.queries.plan_facts import facts_of_book
from production.queries.wax_in_hand import waxes_in_hand
from production.wax_in_hand import InHand, Part, by_lots, in_words
from tests.factories import make_candle, make_frame, make_person, make_recipe, make_wax
from tests.factories.floor import make_heat, make_stage, make_vat
from tests.factories.materials import make_blend, make_material_lot


def test_the_scarcest_part_bounds_the_blend():
    # 90 kg of 80 % would do for 112.5 kg, 12 kg of 20 % for 60 kg only; frames take 10 kg of that.
    parts = [Part("Paraffin", 90_000, Decimal(80)), Part("Stearin", 12_000, Decimal(20))]
    found = by_lots("Blend", parts, 10_000)
    assert (found.grams, found.short) == (50_000, "Stearin")
    assert found.in_words() == "50 kg (Stearin is the scarcest part)"
    assert by_lots("Blend", parts, 90_000).grams == 0
    with pytest.raises(ValueError, match="no blend"):
        by_lots("Blend", [], 0)


def test_said_of_what_the_lots_know():
    known, typed = by_lots("Beeswax", [Part("Beeswax", 84_200, Decimal(100))], 0), InHand("Paraffin", 40_000)
    assert in_words([known, typed]) == "Wax for new frames, by the lots in the stockroom: Beeswax 84.2 kg."
    assert in_words([typed]) == ""
    assert InHand("Paraffin", None).in_words() == "not known"


@pytest.fixture
def taper(db):
    """48 pairs of it weigh 6,175 g (TRADE, check 6)."""
    candle = make_candle(length_mm=Decimal(250), base_mm=Decimal(22), tip_mm=Decimal(16))
    candle.wax.density_solid, candle.wax.density_liquid = Decimal("0.900"), Decimal("0.780")
    candle.wax.save()
    make_recipe(candle)
    return candle


def grams(wax) -> int | None:
    return waxes_in_hand([wax.pk])[wax.pk].grams


def test_without_a_blend_it_is_what_was_typed(taper):
    make_heat(taper.wax, in_hand_kg=Decimal("12.5"))
    assert waxes_in_hand([taper.wax_id])[taper.wax_id] == InHand(taper.wax.name, 12_500)
    WaxHeat.objects.update(in_hand_kg=None)
    assert grams(taper.wax) is None


def test_lots_less_the_vats_and_what_hangs(taper):
    (paraffin,) = make_blend(taper.wax)
    make_material_lot(paraffin, 200_000)
    assert grams(taper.wax) == 200_000
    # 480 mm deep, 25 mm below the rim, 600 x 400 mm at 0.78 g/cm3: 85,176 g stand in it.
    make_vat(wax=taper.wax, colour=taper.colour)
    assert grams(taper.wax) == 114_824
    frame = make_frame(taper, state="hanging", dips=10)
    assert grams(taper.wax) == 114_824 - 6_175
    make_frame(taper, state="scrapped")
    make_frame(taper, state="graded")
    assert grams(taper.wax) == 114_824 - 6_175
    frame.state, frame.carousel, frame.position, frame.off_at = "off", None, None, frame.threaded_at
    frame.save()
    grade_frame(frame=frame, version=frame.version, firsts=48, seconds={}, remelt=0, by=make_person("dipper"))
    assert grams(taper.wax) == 114_824 - 6_175


def test_a_frame_of_two_waxes_takes_of_each(taper):
    """A core to 18 mm and a coat to 22 mm by 8 finish dips of 0.5 mm: 320 and 160 parts of 480 from 2 mm on."""
    other = make_wax()
    taper.recipe.stages.all().delete()
    make_stage(taper.recipe, place=1, until_mm=18)
    make_stage(taper.recipe, place=2, wax=other, growth_mm=Decimal("0.5"), finish_dips=8)
    for wax in (taper.wax, other):
        (material,) = make_blend(wax)
        make_material_lot(material, 100_000)
    make_frame(taper)
    assert (grams(taper.wax), grams(other)) == (100_000 - 4_117, 100_000 - 2_058)


def test_many_waxes_are_read_with_as_many_queries_as_one(taper, django_assert_num_queries):
    def more(number):
        for _ in range(number):
            candle = make_candle(wax=make_wax())
            (material,) = make_blend(candle.wax)
            make_material_lot(material, 90_000)
            make_frame(candle)

    def asked():
        waxes = [*Wax.objects.values_list("pk", flat=True)]
        with django_assert_num_queries(10):
            waxes_in_hand(waxes)

    make_vat()
    more(1)
    asked()
    more(5)
    asked()


def test_the_plan_notices_deliveries_and_not_dipping(taper):
    (paraffin,) = make_blend(taper.wax)
    lot = make_material_lot(paraffin, 200_000)
    frame, before = make_frame(taper, state="off", dips=30), facts_of_book()["wax"]
    grade_frame(frame=frame, version=frame.version, firsts=48, seconds={}, remelt=0, by=make_person("dipper"))
    assert facts_of_book()["wax"] == before
    adjust_material_lot(lot=lot, kind="wasted", amount=500, reason="Spilt.", by=make_person())
    assert facts_of_book()["wax"] != before
