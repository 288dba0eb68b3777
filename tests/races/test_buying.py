"""Two people see the same need: it is ordered once. Remelt of one wax weighed in by several at once stays right."""

import uuid
from functools import partial

import pytest
from django.core.exceptions import ValidationError

from inventory.domain.buying_needed import order_needed
from inventory.models import Material, MaterialLot, Purchase
from production.domain.remelting import weigh_in_remelt
from production.models import Remelt
from tests.factories import make_candle, make_person
from tests.factories.materials import make_material, make_supplier
from tests.races.threads import together

pytestmark = pytest.mark.django_db(transaction=True)
HANDS = 5


def test_what_several_see_is_needed_is_ordered_once():
    wax, by = make_material(supplier=make_supplier(), pack=25_000), make_person()
    acts = [
        partial(order_needed, material=wax, amount=25_000, under_way=0, submission=uuid.uuid4(), by=by)
        for _ in range(HANDS)
    ]
    results = together(*acts)
    assert sum(isinstance(result, Purchase) for result in results) == Purchase.objects.count() == 1
    assert sum(isinstance(result, ValidationError) for result in results) == HANDS - 1


def test_a_weighing_sent_many_times_at_once_is_one_lot():
    candle = make_candle()
    act = partial(
        weigh_in_remelt, wax=candle.wax, colour=candle.colour, grams=900, submission=uuid.uuid4(), by=make_person()
    )
    rows = together(*[act] * HANDS)
    assert {row.pk for row in rows} == {Remelt.objects.get().pk}
    assert MaterialLot.objects.get().on_hand == 900


def test_the_first_weighings_of_a_wax_at_once_share_its_material():
    candle, by = make_candle(), make_person()
    acts = [
        partial(weigh_in_remelt, wax=candle.wax, colour=candle.colour, grams=n, submission=uuid.uuid4(), by=by)
        for n in range(1, HANDS + 1)
    ]
    assert not [result for result in together(*acts) if isinstance(result, Exception)]
    assert sorted(MaterialLot.objects.values_list("on_hand", flat=True)) == [1, 2, 3, 4, 5]
    assert Material.objects.count() == 1
