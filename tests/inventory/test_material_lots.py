"""Lots of materials are taken in, recounted, wasted and sent back; their movements always add up to what is there."""

import uuid
from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db.models import Sum
from django.utils import timezone

from inventory.domain.material_lots import adjust_material_lot, take_in
from inventory.models import MaterialLot, MaterialMovement, Record
from tests.factories import make_colour, make_person, make_wax
from tests.factories.materials import make_material, make_material_lot, make_supplier

pytestmark = pytest.mark.django_db


def take(material=None, **fields) -> MaterialLot:
    given = {"amount": 25_000, "came_on": timezone.localdate(), "by": make_person(), **fields}
    return take_in(material=material or make_material(), **given)


def adjust(lot, kind, amount, **fields) -> MaterialMovement:
    given = {"reason": "Looked.", "by": make_person(), **fields}
    return adjust_material_lot(lot=lot, kind=kind, amount=amount, **given)


def refused(act) -> dict:
    with pytest.raises(ValidationError) as error:
        act()
    return error.value.message_dict


def test_lots_of_a_day_are_numbered_and_hold_what_came():
    day = timezone.localdate() - timedelta(days=3)
    first, second = take(came_on=day, supplier=make_supplier(), price=Decimal("75.00")), take(came_on=day)
    assert [first.code, second.code] == [f"M{day:%y-%m%d}-01", f"M{day:%y-%m%d}-02"]
    assert first.price_a_unit == Decimal("0.003")
    assert first.on_hand == first.movements.get().amount == 25_000


def test_the_same_form_twice_is_one_lot():
    material, once = make_material(), uuid.uuid4()
    assert take(material, submission=once) == take(material, submission=once)
    assert MaterialLot.objects.get().on_hand == 25_000


def test_remelt_is_weighed_in_and_the_rest_is_bought():
    own = make_material(remelt_of=make_wax(), remelt_colour=make_colour())
    assert take(own, kind="remelted").movements.get().kind == "remelted"
    assert "material" in refused(lambda: take(own))
    assert "material" in refused(lambda: take(kind="remelted"))


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"amount": 0}, "amount"),
        ({"price": Decimal(-1)}, "price"),
        ({"came_on": timezone.localdate() + timedelta(days=1)}, "came_on"),
        ({"came_on": timezone.localdate() - timedelta(days=4000)}, "came_on"),
        ({"supplier_lot": "x" * 41}, "supplier_lot"),
        ({"note": "x" * 201}, "note"),
    ],
)
def test_lots_that_cannot_be_meant(fields, field):
    assert field in refused(lambda: take(**fields))
    assert not MaterialLot.objects.exists()


def test_put_right_by_hand():
    lot = make_material_lot(make_material(), 10_000)
    assert adjust(lot, "recounted", 9_400, seen=10_000).amount == -600
    assert adjust(lot, "wasted", 400).amount == -400
    assert adjust(lot, "sent back", 1_000).amount == -1_000
    assert adjust(lot, "put back", 500).amount == 500
    lot.refresh_from_db()
    assert lot.on_hand == 8_500 == lot.movements.aggregate(sum=Sum("amount"))["sum"]
    told = Record.objects.filter(subject="material lot", subject_id=lot.pk).values_list("what", flat=True)
    assert "Wasted: -400 g. Looked." in told


def test_put_right_twice_by_the_same_form_is_once():
    lot, once = make_material_lot(make_material(), 10_000), uuid.uuid4()
    assert adjust(lot, "wasted", 400, submission=once) == adjust(lot, "wasted", 400, submission=once)
    assert MaterialLot.objects.get().on_hand == 9_600


@pytest.mark.parametrize(
    ("kind", "amount", "fields", "field"),
    [
        ("wasted", 10_001, {}, "amount"),
        ("wasted", 0, {}, "amount"),
        ("recounted", 10_000, {}, "amount"),
        ("recounted", 9_000, {"seen": 9_999}, "amount"),
        ("put back", 100_000_000, {}, "amount"),
        ("drawn", 5, {}, "kind"),
        ("wasted", 5, {"reason": " "}, "reason"),
        ("wasted", 5, {"reason": "x" * 201}, "reason"),
    ],
)
def test_what_cannot_be_put_right_so(kind, amount, fields, field):
    lot = make_material_lot(make_material(), 10_000)
    assert field in refused(lambda: adjust(lot, kind, amount, **fields))
    assert MaterialMovement.objects.count() == 1
