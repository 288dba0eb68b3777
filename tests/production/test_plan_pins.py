"""Pins of the owner: a vat in a colour, a frame over a vat, in a half-day ahead."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from inventory.models import Record
from production.domain.dip_plan.pins import pin_frame, pin_in_words, pin_vat, unpin
from production.models import PlanPin
from tests.factories import make_candle, make_wax
from tests.production.plan_floor import make_plan_floor, quick_candle

pytestmark = pytest.mark.django_db


def workday():
    day = timezone.localdate() + timedelta(days=1)
    while day.weekday() > 4:
        day += timedelta(days=1)
    return day


@pytest.fixture
def floor():
    return make_plan_floor()


def vat_pin(floor, **given):
    values = {"vat": floor.north, "day": workday(), "half": 1, "wax": floor.wax, "colour": floor.red, "by": floor.by}
    return pin_vat(**{**values, **given})


def frame_pin(floor, **given):
    values = {"candle": floor.taper, "vat": floor.north, "day": workday(), "half": 2, "by": floor.by}
    return pin_frame(**{**values, **given})


def test_a_vat_is_pinned_once_and_on_record(floor):
    first = vat_pin(floor)
    assert vat_pin(floor) == first
    other = vat_pin(floor, colour=floor.ivory)
    assert list(PlanPin.objects.all()) == [other], "the later one counts"
    day = workday()
    assert pin_in_words(other) == f"North vat in ivory (Paraffin) on {day:%A} {day.day} {day:%b}, morning"
    assert Record.objects.filter(subject="dip plan").count() == 2


def test_a_frame_is_pinned_anywhere_or_to_a_position(floor):
    anywhere = frame_pin(floor)
    assert frame_pin(floor) == anywhere, "the same form sent twice"
    placed = frame_pin(floor, position=2)
    assert frame_pin(floor, position=2) == placed
    with pytest.raises(ValidationError, match="Ivory taper is pinned there already"):
        frame_pin(floor, candle=floor.dinner, position=2)
    assert "at position 2" in pin_in_words(placed)
    assert PlanPin.objects.count() == 2


def test_unpinned_twice_does_no_harm(floor):
    pin = vat_pin(floor)
    for _ in range(2):
        unpin(pin=pin, by=floor.by)
    assert not PlanPin.objects.exists()
    assert Record.objects.filter(subject="dip plan", what__startswith="Unpinned").count() == 1


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"day": timezone.localdate() - timedelta(days=1)}, "day"),
        ({"day": workday() + timedelta(days=5 - workday().weekday())}, "day"),
        ({"half": 3}, "half"),
        ({"half": 0}, "half"),
    ],
)
def test_no_pin_on_a_day_gone_by_or_free(floor, changed, field):
    for pin in (vat_pin, frame_pin):
        with pytest.raises(ValidationError) as refused:
            pin(floor, **changed)
        assert list(refused.value.message_dict) == [field]


def test_a_vat_out_of_use_or_of_another_wax_is_refused(floor):
    beeswax = make_wax(name="Beeswax")
    floor.north.may_hold.set([floor.wax])
    with pytest.raises(ValidationError, match="North vat may not hold Beeswax"):
        vat_pin(floor, wax=beeswax)
    with pytest.raises(ValidationError, match="North vat may not hold Beeswax"):
        frame_pin(floor, candle=quick_candle(beeswax, floor.ivory))
    floor.north.active = False
    floor.north.save()
    for pin in (vat_pin, frame_pin):
        with pytest.raises(ValidationError, match="not in use"):
            pin(floor)


@pytest.mark.parametrize("position", [0, -1, 13, 10**9])
def test_no_position_that_no_carousel_has(floor, position):
    with pytest.raises(ValidationError) as refused:
        frame_pin(floor, position=position)
    assert list(refused.value.message_dict) == ["position"]


def test_a_candle_without_a_recipe_or_too_long_is_refused(floor):
    with pytest.raises(ValidationError, match="no recipe"):
        frame_pin(floor, candle=make_candle(wax=floor.wax, colour=floor.red))
    with pytest.raises(ValidationError, match="covers 435 mm of candle"):
        frame_pin(floor, candle=quick_candle(floor.wax, floor.red, length_mm=500))


def test_the_table_holds_what_the_functions_promise(floor):
    pin = {"vat": floor.north, "day": workday(), "half": 1, "made_at": timezone.now(), "made_by": floor.by}
    bath = {"wax": floor.wax, "colour": floor.red}
    PlanPin.objects.create(**pin, **bath)
    for wrong in ({**pin, **bath}, pin, {**pin, **bath, "candle": floor.taper}, {**pin, **bath, "half": 3}):
        with pytest.raises(IntegrityError), transaction.atomic():
            PlanPin.objects.create(**wrong)
