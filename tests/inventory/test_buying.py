"""Materials are ordered, come as lots, or are called off; each once, each on record."""

import uuid
from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from inventory.domain.buying import call_off, order_material, purchase_came
from inventory.domain.versions import StaleVersion
from inventory.models import MaterialLot, Purchase, Record
from tests.factories import make_colour, make_person, make_wax
from tests.factories.materials import make_material, make_supplier

pytestmark = pytest.mark.django_db


def order(**fields) -> Purchase:
    material = fields.pop("material", None) or make_material()
    given = {
        "material": material,
        "supplier": fields.pop("supplier", None) or make_supplier(),
        "amount": 25_000,
        "due_on": timezone.localdate() + timedelta(days=7),
        "price": Decimal("61.50"),
        "submission": uuid.uuid4(),
        "by": make_person(),
        **fields,
    }
    return order_material(**given)


def come(purchase, **fields) -> MaterialLot:
    given = {
        "version": purchase.version,
        "amount": purchase.amount,
        "came_on": timezone.localdate(),
        "price": Decimal("61.50"),
        "submission": uuid.uuid4(),
        "by": make_person(),
        **fields,
    }
    return purchase_came(purchase=purchase, **given)


def refused(act, **fields) -> str:
    with pytest.raises(ValidationError) as error:
        act(**fields)
    return str(error.value)


def test_what_is_ordered_comes_as_a_lot():
    purchase, by = order(), make_person()
    lot = come(purchase, supplier_lot="B-77", amount=24_000, by=by)
    purchase.refresh_from_db()
    assert (purchase.state, purchase.lot) == ("came", lot)
    assert (lot.on_hand, lot.amount, lot.supplier, lot.supplier_lot) == (24_000, 24_000, purchase.supplier, "B-77")
    assert lot.code == f"M{timezone.localdate():%y-%m%d}-01"
    assert list(lot.movements.values_list("kind", "amount")) == [("came", 24_000)]
    told = Record.objects.filter(subject="material", subject_id=purchase.material_id, person=by).get()
    assert "24 kg came" in told.what
    assert "1 kg less than ordered" in told.what


def test_ordered_or_come_twice_by_the_same_form_is_once():
    once, material = uuid.uuid4(), make_material()
    assert order(material=material, submission=once) == order(material=material, submission=once)
    assert Purchase.objects.count() == 1
    purchase, came = Purchase.objects.get(), uuid.uuid4()
    assert come(purchase, submission=came) == come(purchase, submission=came)
    assert MaterialLot.objects.get().on_hand == 25_000
    assert "came already" in refused(lambda: come(Purchase.objects.get()))


def test_called_off_is_neither_under_way_nor_to_come():
    purchase = order()
    assert "Say why" in refused(lambda: call_off(purchase=purchase, version=1, reason=" ", by=make_person()))
    for _ in range(2):
        call_off(purchase=purchase, version=1, reason="Out of it until May.", by=make_person())
    assert Purchase.objects.get().state == "called off"
    assert "called off" in refused(lambda: come(purchase))
    assert Record.objects.filter(what__contains="until May").count() == 1


def test_who_looks_at_an_old_page_is_told():
    purchase = order()
    with pytest.raises(StaleVersion):
        come(purchase, version=7)
    assert not MaterialLot.objects.exists()


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"amount": 0}, "More than nothing"),
        ({"amount": 10**9}, "100,000 kg"),
        ({"amount": 1.5}, "More than nothing"),
        ({"price": Decimal(-1)}, "Between"),
        ({"price": Decimal("NaN")}, "Between"),
        ({"note": "x" * 201}, "200 characters"),
        ({"due_on": timezone.localdate() - timedelta(days=1)}, "From today on"),
        ({"due_on": timezone.localdate() + timedelta(days=800)}, "two years"),
    ],
)
def test_orders_that_cannot_be_meant(fields, said):
    assert said in refused(lambda: order(**fields))
    assert not Purchase.objects.exists()


def test_only_what_is_sold_is_ordered():
    supplier = make_supplier()
    gone = make_material(active=False)
    assert "no longer in use" in refused(lambda: order(material=gone))
    assert "no longer in use" in refused(lambda: order(supplier=make_supplier(active=False)))
    own = make_material(remelt_of=make_wax(), remelt_colour=make_colour())
    assert "nobody sells it" in refused(lambda: order(material=own))
    packed = make_material(supplier=supplier, pack=50_000)
    assert "50 kg at least" in refused(lambda: order(material=packed, supplier=supplier))
    assert order(material=packed).amount == 25_000  # of somebody else, who may sell less


def test_the_table_itself_refuses_an_order_that_came_without_a_lot():
    purchase = order()
    with pytest.raises(IntegrityError), transaction.atomic():
        Purchase.objects.filter(pk=purchase.pk).update(state="came")
