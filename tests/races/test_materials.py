"""Two who draw from one lot, order, take in or put right at the same moment: real threads on PostgreSQL."""

import uuid
from datetime import timedelta
from decimal import Decimal
from functools import partial

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from inventory import audit as of_inventory
from inventory.domain.buying import order_material, purchase_came
from inventory.domain.material_lots import adjust_material_lot, take_in
from inventory.models import MaterialLot, Purchase
from orders.audit import box_uses
from production.domain.frames import thread_frame
from production.domain.grading import grade_frame
from production.models import FrameUse
from tests.factories import make_candle, make_colour, make_frame, make_frame_kind, make_person, make_recipe
from tests.factories.materials import make_blend, make_dye, make_material, make_material_lot, make_supplier
from tests.races.threads import second_waits_for_first, together

pytestmark = [pytest.mark.postgresql, pytest.mark.django_db(transaction=True)]


def sound():
    lines = [*of_inventory.breaches(), *box_uses.breaches()]
    assert [line for line in lines if "trigger" not in line] == []


def test_two_threadings_never_draw_the_same_wick():
    wick = make_material("wick")
    lot = make_material_lot(wick, 40_000)
    candle, kind = make_candle(length_mm=Decimal(250), wick_of=wick), make_frame_kind()
    make_recipe(candle)
    acts = [
        partial(thread_frame, candle=candle, kind=kind, hung=48, wants=None, by=make_person("dipper"))
        for _ in range(2)
    ]
    second_waits_for_first(*acts)
    assert MaterialLot.objects.get(pk=lot.pk).on_hand == 0
    drawn = FrameUse.objects.filter(lot=lot).values_list("amount", flat=True)
    assert sorted(drawn) == [13_120, 26_880]
    assert FrameUse.objects.get(lot=None).amount == 2 * 26_880 - 40_000
    sound()


def test_frames_of_several_colours_counted_off_together_draw_what_is_there_once():
    """Dyes made in the opposite order: whoever locked as he went would meet the other head on."""
    candles = [make_candle(colour=make_colour()) for _ in range(2)]
    (paraffin,) = make_blend(candles[0].wax)
    dyes = [make_dye(candle.colour) for candle in candles]
    for material in (dyes[1], paraffin, dyes[0]):
        make_material_lot(material, 9_000)
        make_material_lot(material, 9_000)
    frames = [make_frame(candle, state="off", dips=30) for candle in candles for _ in range(2)]
    acts = [
        partial(grade_frame, frame=frame, version=1, firsts=48, seconds={}, remelt=0, by=make_person("dipper"))
        for frame in frames
    ]
    results = together(*acts)
    assert not [result for result in results if isinstance(result, Exception)], results
    assert all(lot.on_hand >= 0 for lot in MaterialLot.objects.all())
    sound()


def test_the_same_order_twice_at_once_is_one_and_comes_once():
    material, supplier, once = make_material(), make_supplier(), uuid.uuid4()
    due = timezone.localdate() + timedelta(days=3)
    order = partial(
        order_material,
        material=material,
        supplier=supplier,
        amount=25_000,
        due_on=due,
        submission=once,
        by=make_person(),
    )
    first, second = second_waits_for_first(order, order)
    assert first == second == Purchase.objects.get()
    came = [
        partial(
            purchase_came, purchase=first, version=1, amount=25_000, came_on=timezone.localdate(), price=Decimal(1),
            submission=uuid.uuid4(), by=make_person(),
        )
        for _ in range(2)
    ]  # fmt: skip
    lot, refused = second_waits_for_first(*came)
    assert lot == MaterialLot.objects.get()
    assert isinstance(refused, ValidationError)
    sound()


def test_two_deliveries_of_one_day_get_codes_of_their_own_and_waste_goes_once():
    take = [
        partial(take_in, material=make_material(), amount=500, came_on=timezone.localdate(), by=make_person())
        for _ in range(2)
    ]
    lots = together(*take)
    assert len({lot.code for lot in lots}) == 2
    waste = [
        partial(adjust_material_lot, lot=lots[0], kind="wasted", amount=400, reason="Spilt.", by=make_person())
        for _ in range(2)
    ]
    _, refused = second_waits_for_first(*waste)
    assert isinstance(refused, ValidationError)
    assert MaterialLot.objects.get(pk=lots[0].pk).on_hand == 100
    sound()
