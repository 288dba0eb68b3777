"""Numbers taken at once run without a gap, and none is given twice."""

from functools import partial

import pytest
from django.db import transaction

from orders.domain.numbers import take_number
from orders.models import Series
from tests.races.threads import second_waits_for_first, together

pytestmark = [pytest.mark.postgresql, pytest.mark.django_db(transaction=True)]


class Fell(Exception):
    """The transaction that had taken a number failed after all."""


def take(falls: bool = False) -> int:
    with transaction.atomic():
        number, _ = take_number("order")
        if falls:
            raise Fell
        return number


@pytest.mark.parametrize("series", ["order", "delivery note", "invoice"])
def test_taken_at_once_they_run_on(series):
    first = Series.objects.get(name=series).next

    @transaction.atomic
    def one():
        return take_number(series)[0]

    assert sorted(together(*[one] * 8)) == list(range(first, first + 8))


def test_the_number_of_a_failed_transaction_is_given_to_the_next():
    first = Series.objects.get(name="order").next
    results = together(*(partial(take, falls=n % 2 == 0) for n in range(8)))
    assert sorted(number for number in results if not isinstance(number, Fell)) == list(range(first, first + 4))
    assert Series.objects.get(name="order").next == first + 4


def test_the_second_waits_until_the_first_number_is_certain():
    first, second = second_waits_for_first(take, take)
    assert second == first + 1
