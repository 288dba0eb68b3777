"""Two shops after one box of seconds, by real threads on PostgreSQL: the lock itself, and what is true afterwards."""

import uuid
from functools import partial

import pytest
from django.core.exceptions import ValidationError

from orders.audit import breaches
from orders.domain.changing import cancel_order
from orders.domain.ordering import confirm_order
from orders.domain.seconds import sell_seconds
from orders.domain.seconds_boxes import open_box
from orders.domain.seconds_lists import send_list
from orders.domain.seconds_selling import take_box_off
from orders.models import Contact, Letter, Order, SecondsBox
from tests.factories import make_person, make_shop
from tests.factories.seconds import make_seconds_box, make_three_lots
from tests.races.threads import second_waits_for_first, together
from tests.recount import recount

pytestmark = [pytest.mark.postgresql, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def by():
    return make_person()


@pytest.fixture
def box(by):
    lots = make_three_lots()
    return make_seconds_box((lots[0], 7), (lots[2], 5), by=by)


def sell(box, by, shop) -> Order:
    order = sell_seconds(shop=shop, submission=uuid.uuid4(), rows=[], boxes=[box.pk], by=by)
    return confirm_order(order=order, version=order.version, by=by)


def sound() -> None:
    recount()
    assert list(breaches()) == []


def test_the_second_shop_waits_for_the_first_and_sees_the_box_gone(box, by):
    first, second = second_waits_for_first(*(partial(sell, box, by, make_shop()) for _ in range(2)))
    assert first.status == "confirmed"
    assert isinstance(second, ValidationError)
    assert "SB-101 is gone" in second.messages[0]
    assert Order.objects.count() == 1
    sound()


def test_opened_called_off_and_taken_off_against_each_other(box, by):
    order = sell(box, by, make_shop())
    box.refresh_from_db()
    together(
        partial(cancel_order, order=order, version=order.version, reason="shut", by=by),
        partial(take_box_off, box=box, version=box.version, by=by),
        partial(open_box, box=box, version=box.version, by=by),
        partial(sell, box, by, make_shop()),
    )
    assert SecondsBox.objects.get().state in ("on the shelf", "sold", "opened")
    sound()


def test_two_who_send_the_list_send_one_letter(box, by):
    shop = make_shop(wants_seconds_list=True)
    Contact.objects.create(shop=shop, name="Della Finch", email="della@salt.example")
    day = box.made_up_on
    results = together(*(partial(send_list, shop=shop, for_day=day, by=by) for _ in range(3)))
    assert sum(result is None for result in results) == 2
    assert Letter.objects.count() == 1
    sound()
