"""What the floor needs of each material: frames that hang, the plan's, and those the dip list asks for beyond it."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from inventory.models import BlendPart
from production.needs import FLOOR, LIST, PLAN, Held
from production.queries.needs import bought_materials, floor_needs, held_of, purchases_under_way, wax_in_vats
from tests.factories import make_candle, make_colour, make_person, make_vat, make_wax
from tests.factories.floor import make_frame, make_frame_kind, make_recipe, make_want
from tests.factories.materials import (
    make_blend,
    make_dye,
    make_material,
    make_material_lot,
    make_purchase,
    make_supplier,
)
from tests.factories.planned import make_planned_frame

pytestmark = pytest.mark.django_db
PAIR_G, WICK_MM = 128.64, 2 * 250 + 60  # a pair of 250 x 22/16 mm at 0.90 g/cm3, and its wick over the bar


@pytest.fixture
def today():
    return timezone.localdate()


@pytest.fixture
def wick():
    return make_material("wick", name="Flat 24 ply")


@pytest.fixture
def candle(wick):
    candle = make_candle(colour=make_colour(), wick_of=wick)
    make_recipe(candle)
    make_frame_kind(bars=4, usable_mm=800)
    return candle


def amounts(needs, material):
    return [(need.amount, need.source) for need in needs.get(material.pk, [])]


def test_a_frame_on_the_floor_has_had_its_wick_and_still_draws_its_wax(candle, wick, today):
    paraffin, stearin = make_blend(candle.wax, paraffin=80, stearin=20)
    dye = make_dye(candle.colour, "2")
    for state in ("threaded", "hanging", "off", "graded", "scrapped"):
        make_frame(candle, state, hung=10)
    needs = floor_needs(today)
    # 1,286 g a frame: 1,029 and 257 of the blend, 3 of dye. Graded and scrapped ones draw no more.
    assert amounts(needs, paraffin) == [(1_029, FLOOR)] * 3
    assert amounts(needs, stearin) == [(257, FLOOR)] * 3
    assert amounts(needs, dye) == [(3, FLOOR)] * 3
    assert {need.day for need in needs[paraffin.pk]} == {today}
    assert amounts(needs, wick) == []


def test_a_planned_frame_needs_wick_and_wax_on_its_day(candle, wick, today):
    (wax,) = make_blend(candle.wax)
    starts = timezone.now() + timedelta(days=3)
    make_planned_frame(candle, pairs=20, counted=18, starts=starts)
    make_planned_frame(candle, pairs=20, counted=18, starts=starts, frame=make_frame(candle, "graded"))
    needs = floor_needs(today)
    assert amounts(needs, wax) == [(round(20 * PAIR_G), PLAN)]
    assert amounts(needs, wick) == [(20 * WICK_MM, PLAN)]
    assert needs[wax.pk][0].day == timezone.localdate(starts)


def test_what_the_dip_list_asks_for_beyond_the_plan_is_needed_before_it_is_wanted(candle, wick, today):
    (wax,) = make_blend(candle.wax)
    make_want(candle, 30, wanted_by=today + timedelta(days=9))
    (only,) = floor_needs(today)[wax.pk]
    # A day to dip it and a day (24 h) to harden: one frame, on the seventh day.
    assert (only.source, only.day) == (LIST, today + timedelta(days=7))
    make_planned_frame(candle, pairs=48, counted=44)
    assert [source for _, source in amounts(floor_needs(today), wax)] == [PLAN]


def test_the_plan_covers_wants_by_the_firsts_it_counts_on(candle, today):
    (wax,) = make_blend(candle.wax)
    for days, pairs in ((9, 45), (20, 100)):
        make_want(candle, pairs, wanted_by=today + timedelta(days=days))
    # 48 pairs hung, 40 firsts counted on: 5 of the first want are left for a frame of the dip list.
    make_planned_frame(candle, pairs=48, counted=40)
    days = [need.day for need in floor_needs(today)[wax.pk] if need.source == LIST]
    assert min(days) == today + timedelta(days=7)


def test_wants_of_the_past_are_needed_today(candle, today):
    (wax,) = make_blend(candle.wax)
    make_want(candle, 30, wanted_by=today - timedelta(days=9))
    assert {need.day for need in floor_needs(today)[wax.pk]} == {today}


def test_our_own_remelt_is_used_first(candle, today):
    (wax,) = make_blend(candle.wax)
    own = make_material(remelt_of=candle.wax, remelt_colour=candle.colour)
    make_material_lot(own, 1_000)
    make_frame(candle, "hanging", hung=10)
    assert amounts(floor_needs(today), wax) == [(286, FLOOR)]
    assert own not in bought_materials()


def test_a_candle_of_two_coats_needs_both_waxes(today):
    core, coat = make_wax(), make_wax()
    candle = make_candle(wax=core, colour=make_colour())
    recipe = make_recipe(candle, stages=2)
    recipe.stages.filter(place=2).update(wax=coat)
    (inner,), (outer,) = make_blend(core), make_blend(coat)
    make_frame(candle, "hanging", hung=10)
    needs = floor_needs(today)
    both = needs[inner.pk][0].amount, needs[outer.pk][0].amount
    assert sum(both) == round(10 * PAIR_G)
    # The second half of the diameter is three quarters of the wax, less what the wick's start takes.
    assert 0.7 < both[1] / sum(both) < 0.8


def test_what_stands_in_the_vats_is_told_by_material(today):
    wax = make_wax()
    paraffin, stearin = make_blend(wax, paraffin=75, stearin=25)
    make_vat(wax=wax, colour=make_colour(), depth_mm=425, length_mm=500, width_mm=400, level_mm=Decimal(25))
    make_vat(wax=wax, colour=make_colour(), active=False)
    # 400 mm x 0.2 m2 at 0.78 g/cm3: 62.4 kg.
    assert wax_in_vats() == {paraffin.pk: 46_800, stearin.pk: 15_600}


def test_a_vat_of_a_wax_without_a_blend_holds_nothing_of_the_stores():
    make_vat(wax=make_wax(), colour=make_colour())
    assert wax_in_vats() == {}


def test_what_there_is_counts_every_lot(today):
    bought = make_material(pack=25_000, keep=10_000, supplier=make_supplier(lead_days=9))
    box = make_material("box")
    make_material_lot(bought, 3_000)
    make_material_lot(bought, 4_000)
    make_material(active=False)
    rows = bought_materials()
    assert set(rows) == {bought, box}
    assert held_of(rows) == {bought.pk: Held(7_000, 0, 10_000, 25_000, 9), box.pk: Held(0, 0, 0, 1, None)}


def test_what_is_under_way_is_what_has_neither_come_nor_been_called_off(today):
    bought = make_material(supplier=make_supplier())
    make_purchase(bought, 5_000, due_on=today + timedelta(days=3))
    make_purchase(bought, 2_000, due_on=today + timedelta(days=1))
    make_purchase(bought, 9_000, state="called off")
    assert [row.amount for row in purchases_under_way()[bought.pk]] == [2_000, 5_000]


def test_it_asks_as_often_for_one_frame_as_for_thirty(today, django_assert_max_num_queries):
    def queries():
        with django_assert_max_num_queries(40) as asked:
            floor_needs(today)
        return len(asked)

    def more(n):
        candle = make_candle(colour=make_colour(), wick_of=make_material("wick"))
        make_recipe(candle)
        make_frame(candle, "hanging", by=dipper)
        make_planned_frame(candle)
        make_want(candle, 200)

    dipper = make_person("dipper")
    make_blend(make_candle().wax)
    more(1)
    few = queries()
    for n in range(9):
        more(n)
    assert queries() == few


def test_blends_are_told_by_their_shares(candle, today):
    parts = make_blend(candle.wax, paraffin=50, stearin=30, beeswax=20)
    make_frame(candle, "hanging", hung=100)
    needs = floor_needs(today)
    assert [needs[part.pk][0].amount for part in parts] == [6_432, 3_859, 2_573]
    assert BlendPart.objects.count() == 3
