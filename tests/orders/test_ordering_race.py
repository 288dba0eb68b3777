"""Two hands at once: one draft for one submission, one winner for one version, no number given twice."""

import uuid

import pytest

from inventory.domain.versions import StaleVersion
from orders.domain.ordering import Row, confirm_order, save_draft, start_draft
from orders.models import Order
from tests.factories import make_candle, make_person, make_shop
from tests.races.threads import together

pytestmark = pytest.mark.django_db(transaction=True)


def test_one_submission_sent_by_four_hands_is_one_draft():
    shop, submission, person = make_shop(), uuid.uuid4(), make_person()
    made = together(*[lambda: start_draft(shop=shop, submission=submission, by=person)] * 4)
    assert [type(order) for order in made] == [Order] * 4
    assert Order.objects.count() == 1


def test_four_submissions_take_four_numbers_without_a_gap():
    shop, person = make_shop(), make_person()
    made = together(*[lambda: start_draft(shop=shop, submission=uuid.uuid4(), by=person)] * 4)
    numbers = sorted(order.number for order in made)
    assert numbers == list(range(numbers[0], numbers[0] + 4))


def test_of_two_who_save_the_same_version_one_is_told():
    person, one, two = make_person(), make_candle(), make_candle()
    order = start_draft(shop=make_shop(), submission=uuid.uuid4(), by=person)

    def save(candle):
        return lambda: save_draft(order=order, version=1, header={}, rows=[Row(candle, 5)], by=person)

    results = together(save(one), save(two))
    assert sorted(type(result).__name__ for result in results) == ["Order", "StaleVersion"]
    winner = next(n for n, result in enumerate(results) if not isinstance(result, StaleVersion))
    assert order.lines.get().candle == (one, two)[winner]


def test_confirmed_by_two_hands_it_is_confirmed_once():
    person = make_person()
    order = start_draft(shop=make_shop(), submission=uuid.uuid4(), by=person)
    order = save_draft(order=order, version=1, header={}, rows=[Row(make_candle(), 5)], by=person)
    results = together(*[lambda: confirm_order(order=order, version=2, by=person)] * 3)
    assert [result.version for result in results] == [3, 3, 3]
    assert order.lines.get().want.pairs == 5
