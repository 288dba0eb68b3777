"""Closed boxes draw their box and label; unpacked, both lie there again."""

import pytest
from django.utils import timezone

from inventory.models import MaterialLot
from orders.domain.packing import close_boxes, unpack, van_left
from orders.models import BoxKind, BoxUse
from tests.factories import make_person
from tests.factories.bench import make_packed, make_ready_order
from tests.factories.materials import make_material, make_material_lot

pytestmark = pytest.mark.django_db


@pytest.fixture
def packer():
    return make_person("packer")


@pytest.fixture
def order(packer):
    """Three boxes' worth of pairs, of a kind whose box and label are drawn from stock."""
    order = make_ready_order(packer, lines=(30, 30, 30))
    BoxKind.objects.update(material=make_material("box"), label=make_material("label"))
    return order


def kind() -> BoxKind:
    return BoxKind.objects.get()


def on_hand(*lots) -> list[int]:
    return [MaterialLot.objects.get(pk=lot.pk).on_hand for lot in lots]


def test_closing_draws_a_box_and_a_label_each_oldest_first_and_once(order, packer):
    new = make_material_lot(kind().material, 50, days_ago=3)
    old = make_material_lot(kind().material, 1, days_ago=40)
    labels = make_material_lot(kind().label, 100)
    delivery = make_packed(packer, order)
    close_boxes(delivery=delivery, version=delivery.version, by=packer)
    boxes = delivery.boxes.count()
    assert boxes > 1
    assert on_hand(old, new, labels) == [0, 51 - boxes, 100 - boxes]
    first = delivery.boxes.first()
    assert sorted(use.material.kind for use in first.uses.all()) == ["box", "label"]
    assert {use.movement.reference for use in first.uses.all()} == {first.slip.number}


def test_unpacking_puts_back_what_was_drawn(order, packer):
    lots = make_material_lot(kind().material, 100), make_material_lot(kind().label, 1)
    delivery = make_packed(packer, order)
    assert BoxUse.objects.filter(lot=None).exists()  # labels ran out
    for _ in range(2):
        unpack(delivery=delivery, version=delivery.version, reason="Wrong van.", by=packer)
    assert on_hand(*lots) == [100, 1]
    assert not BoxUse.objects.exists()


def test_the_boxes_stay_drawn_once_the_van_has_left(order, packer):
    lot = make_material_lot(kind().material, 100)
    delivery = make_packed(packer, order)
    van_left(delivery=delivery, version=delivery.version, on=timezone.localdate(), by=packer)
    assert on_hand(lot) == [100 - delivery.boxes.count()]


def test_a_kind_that_names_nothing_draws_nothing(packer):
    make_material_lot(make_material("box"), 10)
    make_packed(packer)
    assert not BoxUse.objects.exists()
