"""Breaches of what materials say, planted behind the ORM's back, through all three audits."""

import pytest
from django.db.models import F
from django.utils import timezone

from inventory import audit as of_inventory
from inventory.models import BlendPart, MaterialLot, MaterialMovement
from inventory.triggers import unguard
from orders.audit import box_uses
from orders.models import BoxKind, BoxUse
from production import audit as of_production
from production.domain.drawing import draw_wax
from production.models import FrameUse
from tests.factories import make_candle, make_frame, make_person, make_recipe
from tests.factories.bench import make_packed, make_ready_order
from tests.factories.materials import make_blend, make_material, make_material_lot
from tests.inventory.test_audit import Editor

pytestmark = pytest.mark.django_db


@pytest.fixture
def lot():
    """Wax of which a frame drew some."""
    candle = make_candle()
    make_recipe(candle)
    (wax,) = make_blend(candle.wax)
    lot = make_material_lot(wax, 500_000, code="M-1")
    draw_wax(make_frame(candle, state="graded", code="F7"), by=make_person())
    return lot


def found(*words):
    """One breach in all three books, but for triggers a test took away; it holds all the words."""
    audits = (of_inventory, of_production, box_uses)
    lines = [line for audit in audits for line in audit.breaches() if "trigger" not in line]
    lines = [line for line in lines if not line.startswith("frame F7: graded, but")]
    assert len(lines) == 1, lines
    assert all(str(word) in lines[0] for word in words), lines


def test_on_hand_is_not_what_moved(lot):
    MaterialLot.objects.update(on_hand=1)
    found("material lot M-1", "on hand says 1")


def test_a_lot_that_came_as_something_else(lot):
    MaterialLot.objects.update(amount=499_999)
    found("material lot M-1", "499999 came by the lot, 500000 by its movements")


def test_a_frame_that_drew_something_else(lot):
    unguard(Editor, "production_frameuse")
    FrameUse.objects.update(amount=F("amount") + 1)
    lines = [line for line in of_production.breaches() if "trigger" not in line]
    assert any("frame F7: drew" in line for line in lines)
    assert any("frames and boxes have" in line for line in box_uses.breaches())


def test_drawn_by_nobody(lot):
    lot = make_material_lot(make_material("wick"), 1_000, code="M-2")
    MaterialMovement.objects.create(lot=lot, kind="drawn", amount=-10, person=make_person(), at=timezone.now())
    MaterialLot.objects.filter(pk=lot.pk).update(on_hand=990)
    found("material lot M-2: 10 were drawn, frames and boxes have 0 of it")


def test_a_blend_that_does_not_make_a_hundred(lot):
    BlendPart.objects.update(percent=60)
    found("make 60 %")


def test_a_box_that_drew_something_else():
    packer = make_person("packer")
    order = make_ready_order(packer)
    box = make_material("box")
    BoxKind.objects.update(material=box)
    make_material_lot(box, 100, code="M-3")
    make_packed(packer, order)
    assert not list(box_uses.breaches())
    BoxUse.objects.update(amount=2)
    lines = list(box_uses.breaches())
    assert "drew 2 of lot M-3" in lines[0]
    assert "were drawn, frames and boxes have" in lines[-1]
