"""One form, several hands: it is read into one draft, and made once."""

import uuid

import pytest

from orders.domain.forms_back import take_in_form
from orders.models import FormBack, KeptFile, Order, OrderForm
from tests.factories import make_candle, make_person, make_shop, make_van_days, make_workshop
from tests.factories.order_forms import filled, make_form
from tests.races.threads import together

pytestmark = pytest.mark.django_db(transaction=True)


def test_read_by_four_hands_at_once_a_form_is_one_draft():
    make_workshop()
    make_van_days()
    make_candle(code="IV250")
    person = make_person("packer")
    data = filled(make_form(make_shop(), by=person), {"IV250": 24})
    found = together(*[lambda: take_in_form(name="order.xlsx", data=data, shop=None, by=person)] * 4)
    assert sorted(taken.new for taken in found) == [False, False, False, True]
    assert (Order.objects.count(), FormBack.objects.count(), KeptFile.objects.count()) == (1, 1, 2)


def test_one_page_sent_by_three_hands_makes_one_form():
    make_van_days()
    make_candle()
    shop, person, submission = make_shop(), make_person("packer"), uuid.uuid4()
    found = together(*[lambda: make_form(shop, by=person, submission=submission)] * 3)
    assert len({form.pk for form in found}) == OrderForm.objects.count() == KeptFile.objects.count() == 1
