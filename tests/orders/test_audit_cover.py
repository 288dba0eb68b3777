"""Each breach of cover with frames in it is planted behind the domain's back; the audit names it."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from orders.audit.cover import breaches
from orders.models import Order, OrderLine
from production.models import Frame, HungFor, Want
from tests.factories import make_candle, make_frame
from tests.orders.grading import hang, want_of, wanted

pytestmark = pytest.mark.django_db


@pytest.fixture
def order():
    candle = make_candle()
    order = wanted((candle, 40))
    hang(candle, {order: 24})
    return order


def found(*words):
    lines = list(breaches())
    assert any(all(str(word) in line for word in words) for line in lines), lines


def test_a_sound_floor_has_no_breach(order):
    assert not list(breaches())


def test_more_on_the_floor_than_ordered(order):
    OrderLine.objects.update(pairs=20)
    Want.objects.update(pairs=20)
    found(f"order {order.number} line 1", "0 set aside and 24 on the floor are more than the 20 pairs ordered")
    found("24 hang for it, more than are wanted")


def test_a_want_both_met_and_open(order):
    OrderLine.objects.update(set_aside=40)
    found(f"order {order.number} line 1", "its want is met and still stands on the dip list")


def test_a_want_of_an_order_that_is_over(order):
    Order.objects.update(status="cancelled")
    found("its want is met")


def test_a_promise_of_a_frame_that_is_gone(order):
    Frame.objects.update(state="graded")
    found("is graded, yet 24 pairs of it are hung for want")


def test_a_promise_of_another_candle(order):
    HungFor.objects.create(frame=make_frame(hung=9, code="F9"), want=want_of(order), pairs=3)
    found("frame F9 carries")
    found("frame F9: hung for says 0 pairs, its promises add up to 3")


def test_more_promised_than_hangs(order):
    HungFor.objects.update(pairs=400)
    found("hung for 400 pairs, but 48 hang on it")


def test_a_long_floor_is_audited_by_as_few_queries(order):
    asked = []
    for more in (1, 20):
        for _ in range(more):
            candle = make_candle()
            hang(candle, {wanted((candle, 9)): 9})
        with CaptureQueriesContext(connection) as queries:
            assert not list(breaches())
        asked.append(len(queries))
    assert asked[0] == asked[1], asked
