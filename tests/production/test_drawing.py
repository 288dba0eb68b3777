"""Frames draw wick when they are threaded, wax and dye when they are counted off, from the oldest lot first."""

from decimal import Decimal

import pytest

from inventory.models import MaterialLot, MaterialMovement
from production.domain.frames import scrap_frame, thread_frame
from production.domain.grading import grade_frame
from production.models import FrameUse
from tests.factories import make_candle, make_colour, make_frame, make_frame_kind, make_person, make_recipe, make_run
from tests.factories.floor import make_stage
from tests.factories.materials import make_blend, make_dye, make_material, make_material_lot

pytestmark = pytest.mark.django_db


@pytest.fixture
def taper():
    """48 pairs of it weigh 6,175 g (TRADE, check 6)."""
    candle = make_candle(
        length_mm=Decimal(250), base_mm=Decimal(22), tip_mm=Decimal(16), wick_of=make_material("wick")
    )
    candle.wax.density_solid, candle.wax.density_liquid = Decimal("0.900"), Decimal("0.780")
    candle.wax.save()
    make_recipe(candle)
    return candle


def thread(candle, hung=48):
    return thread_frame(candle=candle, kind=make_frame_kind(), hung=hung, wants=None, by=make_person("dipper"))


def grade(frame, by=None):
    by = by or make_person("dipper")
    return grade_frame(frame=frame, version=frame.version, firsts=frame.hung, seconds={}, remelt=0, by=by)


def drawn(frame) -> list[tuple]:
    return list(FrameUse.objects.filter(frame=frame).values_list("material", "lot", "amount"))


def test_threading_draws_wick_oldest_lot_first(taper):
    new = make_material_lot(taper.wick_of, 100_000, days_ago=2)
    old = make_material_lot(taper.wick_of, 20_000, days_ago=40)
    frame = thread(taper)
    assert drawn(frame) == [(taper.wick_of_id, old.pk, 20_000), (taper.wick_of_id, new.pk, 6_880)]
    assert [MaterialLot.objects.get(pk=lot.pk).on_hand for lot in (old, new)] == [0, 93_120]
    moved = MaterialMovement.objects.filter(kind="drawn", reference=frame.code)
    assert sorted(moved.values_list("amount", flat=True)) == [-20_000, -6_880]


def test_a_scrapped_frame_keeps_its_wick(taper):
    lot = make_material_lot(taper.wick_of, 100_000)
    scrap_frame(frame=thread(taper), reason="Dropped.", by=make_person("dipper"))
    assert MaterialLot.objects.get(pk=lot.pk).on_hand == 73_120


def test_what_the_book_lacks_is_drawn_of_no_lot(taper):
    frame = thread(taper)
    assert drawn(frame) == [(taper.wick_of_id, None, 26_880)]
    assert not MaterialMovement.objects.exists()


def test_counting_off_draws_the_blend_and_the_dye_once(taper):
    paraffin, stearin = make_blend(taper.wax, paraffin=80, stearin=20)
    dye = make_dye(taper.colour, "2")
    lots = [make_material_lot(material, 10_000) for material in (paraffin, stearin, dye)]
    frame, by = make_frame(taper, state="off", dips=30), make_person("dipper")
    run = make_run(frames=[frame])
    grade(frame, by)
    grade(frame, by)
    assert drawn(frame) == [
        (lot.material_id, lot.pk, amount) for lot, amount in zip(lots, (4940, 1235, 12), strict=True)
    ]
    assert {use.run_id for use in frame.uses.all()} == {run.pk}


def test_our_own_remelt_of_that_wax_and_colour_goes_first(taper):
    (paraffin,) = make_blend(taper.wax)
    dye = make_dye(taper.colour, "1")
    own = make_material(remelt_of=taper.wax, remelt_colour=taper.colour)
    other = make_material(remelt_of=taper.wax, remelt_colour=make_colour())
    for material, amount in ((paraffin, 50_000), (dye, 500), (own, 2_175), (other, 9_000)):
        make_material_lot(material, amount)
    frame = make_frame(taper, state="off", dips=30)
    grade(frame)
    assert {(use.material, use.amount) for use in frame.uses.select_related("material")} == {
        (own, 2_175), (paraffin, 4_000), (dye, 4),
    }  # fmt: skip


def test_a_wax_without_a_blend_draws_nothing(taper):
    make_dye(taper.colour)
    frame = make_frame(taper, state="off", dips=30)
    grade(frame)
    assert not FrameUse.objects.exists()


def test_each_run_draws_what_its_vat_held_then(taper):
    """A white core from 2 to 18 mm and a red coat to 20 mm: 320 and 76 parts of 396, whatever the vat holds today."""
    white, red = taper.colour, make_colour()
    recipe = taper.recipe
    recipe.stages.all().delete()
    make_stage(recipe, place=1, growth_mm=Decimal("0.8"), until_mm=18)
    make_stage(recipe, place=2, growth_mm=Decimal("0.5"), colour=red)
    (paraffin,) = make_blend(taper.wax)
    white_dye, red_dye = make_dye(white, "1"), make_dye(red, "10")
    frame = make_frame(taper, state="off", dips=20)
    core = make_run(frames=[frame], colour=white)
    frame.dips = 4
    coat = make_run(frames=[frame], colour=red)
    grade(frame)
    uses = {(use.run_id, use.material_id): use.amount for use in frame.uses.all()}
    assert uses == {
        (core.pk, paraffin.pk): 4990,
        (core.pk, white_dye.pk): 5,
        (coat.pk, paraffin.pk): 1185,
        (coat.pk, red_dye.pk): 12,
    }


def test_a_blend_that_is_short_of_a_part_still_draws_the_other(taper):
    paraffin, stearin = make_blend(taper.wax, paraffin=80, stearin=20)
    lot = make_material_lot(paraffin, 50_000)
    frame = make_frame(taper, state="off", dips=30)
    grade(frame)
    assert drawn(frame) == [(paraffin.pk, lot.pk, 4940), (stearin.pk, None, 1235)]


def test_the_frames_page_says_what_it_drew(taper, client_for):
    lot = make_material_lot(taper.wick_of, 20_000)
    frame = thread(taper)
    page = client_for("packer").get(frame.get_absolute_url()).content.decode()
    assert f'href="{lot.get_absolute_url()}"' in page
    assert "20 m" in page
    assert "no lot on the book" in page
    assert (
        f'href="{lot.get_absolute_url()}"'
        not in client_for("bookkeeper").get(frame.get_absolute_url()).content.decode()
    )
