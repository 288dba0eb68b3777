"""What may change once an order is confirmed."""

from datetime import date
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from inventory.domain.versions import StaleVersion
from inventory.models import Record
from orders.domain.changing import add_line, cancel_order, change_header, change_pairs
from orders.domain.ordering import confirm_order
from orders.domain.releasing import mark_packed
from orders.domain.setting_aside import set_aside_order
from orders.models import Delivery, OrderLine
from orders.models.order import CANCELLED, DONE
from production.models import Want
from tests.factories import make_candle, make_lot, make_person
from tests.orders.test_ordering import draft_of, soon

pytestmark = pytest.mark.django_db


@pytest.fixture
def person():
    return make_person()


@pytest.fixture
def promised(person):
    """A confirmed order of 60 pairs, 48 of them set aside from two lots."""
    candle = make_candle()
    old = make_lot(candle, 24, made_on=date(2026, 10, 1))
    new = make_lot(candle, 24, made_on=date(2026, 11, 1))
    order = confirm_order(order=draft_of([(candle, 60), (make_candle(), 6)], person), version=2, by=person)
    set_aside_order(order=order, by=person)
    order.refresh_from_db()
    return order, order.lines.first(), old, new


def test_fewer_pairs_free_the_newest_lot_first(promised, person):
    order, line, old, new = promised
    line = change_pairs(line=line, pairs=30, version=order.version, by=person)
    old.refresh_from_db()
    new.refresh_from_db()
    assert (line.pairs, line.set_aside, old.set_aside, new.set_aside) == (30, 30, 24, 6)
    assert not Want.objects.filter(order_line=line).exists()


def test_more_pairs_are_asked_of_the_floor(promised, person):
    order, line, *_ = promised
    change_pairs(line=line, pairs=100, version=order.version, by=person)
    assert Want.objects.get(order_line=line).pairs == 52


def test_a_line_is_struck_out_but_not_the_last_one(promised, person):
    order, line, old, *_ = promised
    change_pairs(line=line, pairs=0, version=order.version, by=person)
    old.refresh_from_db()
    assert old.set_aside == 0
    order.refresh_from_db()
    with pytest.raises(ValidationError, match="cancel the order instead"):
        change_pairs(line=order.lines.last(), pairs=0, version=order.version, by=person)


def test_packed_pairs_stay_ordered(promised, person):
    order, line, *_ = promised
    mark_packed([(line.promises.first(), 20)])
    with pytest.raises(ValidationError, match="not below 20"):
        change_pairs(line=line, pairs=19, version=order.version, by=person)
    assert change_pairs(line=line, pairs=20, version=order.version, by=person).set_aside == 20


@pytest.mark.parametrize("pairs", [-1, 100_001, 10**9])
def test_absurd_changes_are_refused(promised, person, pairs):
    order, line, *_ = promised
    with pytest.raises(ValidationError, match="pairs on a line"):
        change_pairs(line=line, pairs=pairs, version=order.version, by=person)


def test_a_change_from_an_old_page_is_told(promised, person):
    order, line, *_ = promised
    change_pairs(line=line, pairs=50, version=order.version, by=person)
    with pytest.raises(StaleVersion):
        change_pairs(line=line, pairs=40, version=order.version, by=person)


def test_a_line_more_costs_todays_price(promised, person):
    order, *_ = promised
    candle = make_candle(trade_price=Decimal("3.30"))
    line = add_line(order=order, candle=candle, pairs=12, version=order.version, by=person)
    assert (line.position, line.price, line.price_from, line.want.pairs) == (3, Decimal("3.30"), "trade price", 12)
    with pytest.raises(ValidationError, match="No longer in the catalogue"):
        add_line(order=order, candle=make_candle(active=False), pairs=1, version=order.version + 1, by=person)


def test_a_new_day_moves_the_wants(promised, person):
    order, line, *_ = promised
    values = {"reference": " A7 ", "ship_by": soon(20), "deliver_to": order.deliver_to, "notes": ""}
    order = change_header(order=order, version=order.version, by=person, **values)
    assert (order.reference, Want.objects.get(order_line=line).wanted_by) == ("A7", soon(20))
    what = Record.objects.filter(subject="order", subject_id=order.pk).first().what
    assert "their reference A7, was nothing" in what
    with pytest.raises(ValidationError, match="is past"):
        change_header(order=order, version=order.version, by=person, **{**values, "ship_by": soon(-3)})


def test_cancelling_frees_everything(promised, person):
    order, line, old, *_ = promised
    order = cancel_order(order=order, version=order.version, reason="shop closed", by=person)
    old.refresh_from_db()
    assert (order.status, old.set_aside, Want.objects.count()) == (CANCELLED, 0, 0)
    line.refresh_from_db()
    assert (line.pairs, line.set_aside) == (60, 0)
    assert cancel_order(order=order, version=1, reason="", by=person).status == CANCELLED


def test_cancelling_needs_a_reason_and_an_empty_bench(promised, person):
    order, *_ = promised
    with pytest.raises(ValidationError, match="Why is it called off"):
        cancel_order(order=order, version=order.version, reason=" ", by=person)
    Delivery.objects.create(order=order, van_day=soon(), started_at=timezone.now(), started_by=person)
    with pytest.raises(ValidationError, match="packing bench"):
        cancel_order(order=order, version=order.version, reason="late", by=person)


def test_calling_off_the_rest_leaves_what_was_sent(promised, person):
    order, line, *_ = promised
    OrderLine.objects.filter(pk=line.pk).update(sent=10)
    order = cancel_order(order=order, version=order.version, reason="season over", by=person)
    line.refresh_from_db()
    assert (order.status, line.pairs, line.sent, line.set_aside) == (DONE, 10, 10, 0)


def test_a_draft_is_changed_on_its_own_page(person):
    order = draft_of([(make_candle(), 24)], person)
    with pytest.raises(ValidationError, match="still a draft"):
        change_pairs(line=order.lines.get(), pairs=3, version=2, by=person)
