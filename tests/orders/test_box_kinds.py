"""Kinds of box: there is one standard box, and what was packed in stays."""

from datetime import date

import pytest
from django.utils import timezone

from orders.models import Box, BoxKind, Delivery
from tests.factories import (
    make_box_kind,
    make_order,
)
from tests.inventory.workshop_record import told
from tests.orders.set_up_forms import BOX

pytestmark = pytest.mark.django_db
BOXES = "/set-up/box-kinds/"


@pytest.fixture
def owner(client_for):
    return client_for("owner")


def test_the_first_box_is_the_standard_one_and_a_new_one_takes_over(owner):
    owner.post(BOXES, BOX)
    first = BoxKind.objects.get()
    assert first.standard
    owner.post(BOXES, {**BOX, "name": "Flat box", "standard": "on"})
    assert [kind.name for kind in BoxKind.objects.filter(standard=True)] == ["Flat box"]
    seen = owner.get(f"{BOXES}{first.pk}/").context["form"]["seen"].value()
    owner.post(f"{BOXES}{first.pk}/", {**BOX, "standard": "on", "seen": seen})
    assert [kind.name for kind in BoxKind.objects.filter(standard=True)] == ["Long box"]
    assert "Long box is the standard box now, before Flat box" in told()


@pytest.mark.parametrize(
    "change", [{"standard": ""}, {"standard": "", "active": ""}, {"standard": "on", "active": ""}]
)
def test_the_standard_box_is_never_just_taken_away(owner, change):
    kind = make_box_kind(standard=True)
    seen = owner.get(f"{BOXES}{kind.pk}/").context["form"]["seen"].value()
    data = {name: value for name, value in {**BOX, **change, "seen": seen}.items() if value}
    refused = owner.post(f"{BOXES}{kind.pk}/", data)
    assert refused.status_code == 422
    assert set(refused.context["form"].errors) <= {"standard", "active"}
    make_box_kind()
    assert owner.post(f"{BOXES}{kind.pk}/delete/").status_code == 422
    kind.refresh_from_db()
    assert kind.standard
    assert kind.active


def test_a_stale_form_does_not_move_the_standard(owner):
    standard, other = make_box_kind(standard=True), make_box_kind()
    response = owner.post(f"{BOXES}{other.pk}/", {**BOX, "standard": "on", "seen": "0" * 16})
    assert response.status_code == 422
    standard.refresh_from_db()
    assert standard.standard


def test_a_box_something_was_packed_in_stays_but_goes_out_of_use(owner):
    make_box_kind(standard=True)
    kind = make_box_kind()
    order = make_order()
    delivery = Delivery.objects.create(
        order=order, van_day=date(2026, 12, 3), started_at=timezone.now(), started_by=order.made_by
    )
    Box.objects.create(delivery=delivery, number=1, kind=kind)
    refused = owner.post(f"{BOXES}{kind.pk}/delete/")
    assert refused.status_code == 422
    assert "it is used by 1 box" in refused.content.decode()
    seen = owner.get(f"{BOXES}{kind.pk}/").context["form"]["seen"].value()
    data = {name: value for name, value in BOX.items() if name != "active"}
    assert owner.post(f"{BOXES}{kind.pk}/", {**data, "seen": seen}).status_code == 302
    kind.refresh_from_db()
    assert not kind.active


def test_lifting_is_cautioned_about(owner):
    page = owner.get(BOXES).content.decode()
    assert "25 kg for a man, 16 kg for a woman" in page
    assert "local rules go before" in page
