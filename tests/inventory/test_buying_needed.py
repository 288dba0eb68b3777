"""Ordering what is needed: of the usual supplier, once, and not what somebody else has ordered since."""

import uuid
from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from inventory.domain.buying import call_off
from inventory.domain.buying_needed import order_needed
from inventory.models import Purchase, Record
from tests.factories import make_person
from tests.factories.materials import make_material, make_supplier

pytestmark = pytest.mark.django_db


@pytest.fixture
def paraffin():
    return make_material(name="Paraffin", supplier=make_supplier(name="Wax Wharf", lead_days=5), pack=25_000)


def order(material, amount=50_000, under_way=0, submission=None, by=None):
    return order_needed(
        material=material,
        amount=amount,
        under_way=under_way,
        submission=submission or uuid.uuid4(),
        by=by or make_person("packer"),
    )


def test_it_is_expected_after_the_suppliers_days(paraffin):
    by = make_person("packer")
    purchase = order(paraffin, by=by)
    assert (purchase.material, purchase.supplier, purchase.amount) == (paraffin, paraffin.supplier, 50_000)
    assert purchase.due_on == timezone.localdate() + timedelta(days=5)
    assert purchase.state == Purchase.UNDER_WAY
    assert Record.objects.get(subject="material").person == by


def test_sent_twice_it_is_ordered_once(paraffin):
    submission = uuid.uuid4()
    assert order(paraffin, submission=submission) == order(paraffin, submission=submission)
    assert Purchase.objects.count() == 1


def test_what_somebody_else_has_ordered_since_is_told(paraffin):
    order(paraffin, 75_000, by=make_person(full_name="Ann Wick"))
    with pytest.raises(ValidationError, match="Ann Wick ordered 75 kg more since this page was made"):
        order(paraffin, under_way=0)
    assert Purchase.objects.count() == 1
    assert order(paraffin, under_way=75_000).amount == 50_000


def test_what_was_called_off_since_is_told(paraffin):
    purchase = order(paraffin)
    call_off(purchase=purchase, version=purchase.version, reason="sold out", by=make_person())
    with pytest.raises(ValidationError, match="50 kg came or was called off"):
        order(paraffin, under_way=50_000)
    assert order(paraffin, under_way=0)


def test_without_a_supplier_nothing_is_ordered():
    with pytest.raises(ValidationError, match="Nobody is named who sells Paraffin"):
        order(make_material(name="Paraffin"))
    assert not Purchase.objects.exists()


def test_less_than_the_supplier_sells_is_refused(paraffin):
    with pytest.raises(ValidationError, match="25 kg at least"):
        order(paraffin, 1_000)
