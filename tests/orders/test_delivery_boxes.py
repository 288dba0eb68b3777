"""Packing an order into boxes: what is taken, what is refused, and how pairs move between boxes."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError

from inventory.domain.versions import StaleVersion
from inventory.models import Movement
from orders.domain.boxing import box_move, boxes_of
from orders.domain.packing import start_packing
from orders.domain.releasing import release_order
from orders.domain.setting_aside import set_aside_order
from orders.models import Delivery, SetAside
from tests.factories import make_box_kind, make_candle, make_lot, make_order, make_person, make_shop, make_van_days
from tests.factories.bench import make_bench, make_left, make_packed, make_ready_order
from tests.orders.deliveries import close, today

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("sound_deliveries")]


@pytest.fixture
def packer():
    return make_person("packer")


# Starting


def test_packing_takes_all_pairs_set_aside_and_proposes_boxes(packer):
    order = make_ready_order(packer, lines=(30, 12))
    delivery = start_packing(order=order, by=packer)
    assert [line.pairs for line in delivery.lines.all()] == [30, 12]
    assert [sum(c.pairs for c in box.contents.all()) for box in boxes_of(delivery)] == [24, 18]
    assert set(SetAside.objects.values_list("pairs", "packed")) == {(30, 30), (12, 12)}
    # Packed is not sent: nothing has left the stock.
    assert not Movement.objects.filter(kind="sent").exists()
    assert delivery.note is None


def test_started_twice_by_one_person_is_one_delivery(packer):
    order = make_ready_order(packer)
    assert start_packing(order=order, by=packer) == start_packing(order=order, by=packer)
    assert Delivery.objects.count() == 1


def test_a_second_packer_is_told_who_is_at_it(packer):
    order = make_ready_order(packer)
    start_packing(order=order, by=packer)
    with pytest.raises(ValidationError, match=f"{packer.full_name} is packing order {order.number} since"):
        start_packing(order=order, by=make_person("packer"))


@pytest.mark.parametrize(
    ("shop", "reason"),
    [
        ({"on_stop": True, "stop_reason": "two invoices overdue"}, "on stop: two invoices overdue"),
        ({"reference_required": True}, "needs its own reference"),
    ],
)
def test_what_may_not_be_sent_is_not_packed(packer, shop, reason):
    order = make_ready_order(packer, shop=make_shop(**shop))
    with pytest.raises(ValidationError, match=reason):
        start_packing(order=order, by=packer)
    assert not Delivery.objects.exists()
    assert not SetAside.objects.filter(packed__gt=0).exists()


def test_a_reference_given_lets_it_go(packer):
    order = make_ready_order(packer, shop=make_shop(reference_required=True), reference="XM-1")
    assert start_packing(order=order, by=packer).state == "packing"


def test_an_order_without_an_address_is_refused(packer):
    order = make_ready_order(packer, deliver_to=None)
    with pytest.raises(ValidationError, match="no delivery address"):
        start_packing(order=order, by=packer)


@pytest.mark.parametrize("status", ["draft", "done", "cancelled"])
def test_only_confirmed_orders_are_packed(packer, status):
    make_bench()
    order = make_left(packer).order if status == "done" else make_order(by=packer, status=status)
    with pytest.raises(ValidationError, match=f"is {status}, not confirmed"):
        start_packing(order=order, by=packer)


def test_complete_only_waits_for_the_last_pair(packer):
    order = make_ready_order(packer, lines=(30,), lots=[(29,)], complete_only=False)
    order.complete_only = True
    order.save()
    with pytest.raises(ValidationError, match="complete deliveries only, and 1 pair of order"):
        start_packing(order=order, by=packer)


def test_a_part_delivery_goes_and_the_rest_stays_open(packer):
    order = make_ready_order(packer, lines=(30,), lots=[(20,)])
    delivery = make_packed(packer, order)
    assert delivery.note.content["to_come_pairs"] == 10
    assert delivery.note.content["to_come"][0]["pairs"] == 10


def test_nothing_set_aside_is_nothing_to_pack(packer):
    order = make_ready_order(packer)
    release_order(order=order, by=packer)
    with pytest.raises(ValidationError, match="nothing set aside"):
        start_packing(order=order, by=packer)


def test_a_candle_longer_than_every_box_is_refused_by_name_and_nothing_is_kept(packer):
    make_bench()
    candle = make_candle(name="Altar candle 600", length_mm=600)
    make_lot(candle, 4, by=packer)
    order = make_ready_order(packer)
    long = make_order(order.shop, lines=[(candle, 4)], by=packer)
    set_aside_order(order=long, by=packer)
    with pytest.raises(ValidationError, match="Altar candle 600 is 600 mm long"):
        start_packing(order=long, by=packer)
    assert not Delivery.objects.exists()
    assert not SetAside.objects.filter(packed__gt=0).exists()


def test_the_van_day_is_the_last_that_keeps_the_ship_by_date(packer):
    make_van_days(0, 1, 2, 3, 4, 5, 6)
    ship_by = today() + timedelta(days=5)
    assert start_packing(order=make_ready_order(packer, ship_by=ship_by), by=packer).van_day == ship_by


@pytest.mark.parametrize("days", [-1, 91, 3650])
def test_a_van_day_long_past_or_far_off_is_refused(packer, days):
    with pytest.raises(ValidationError, match="From today on"):
        start_packing(order=make_ready_order(packer), by=packer, van_day=today() + timedelta(days=days))


# Boxes


def test_pairs_move_to_another_box_and_back_into_an_emptied_one(packer):
    delivery = start_packing(order=make_ready_order(packer, lines=(30,)), by=packer)
    second = boxes_of(delivery)[1].contents.all()[0]
    with pytest.raises(ValidationError, match="space for 0 more pairs"):
        box_move(delivery=delivery, version=1, content=second.pk, pairs=1, to_box=1, by=packer)
    first = boxes_of(delivery)[0].contents.all()[0]
    box_move(delivery=delivery, version=1, content=first.pk, pairs=4, to_box=2, by=packer)
    assert [sum(c.pairs for c in box.contents.all()) for box in boxes_of(delivery)] == [20, 10]
    box_move(delivery=delivery, version=2, content=second.pk, pairs=4, to_box=1, by=packer)
    assert [sum(c.pairs for c in box.contents.all()) for box in boxes_of(delivery)] == [24, 6]


def test_an_emptied_box_is_gone_and_the_others_are_numbered_anew(packer):
    delivery = start_packing(order=make_ready_order(packer, lines=(10,)), by=packer)
    kind = make_box_kind(name="Crate", length_mm=400)
    content = boxes_of(delivery)[0].contents.all()[0]
    box = box_move(delivery=delivery, version=1, content=content.pk, pairs=10, new_kind=kind, by=packer)
    assert (box.number, box.kind) == (1, kind)
    assert delivery.boxes.count() == 1


def test_moves_keep_length_and_weight(packer):
    delivery = start_packing(order=make_ready_order(packer, lines=(10,)), by=packer)
    content = boxes_of(delivery)[0].contents.all()[0]
    short = make_box_kind(name="Short box", length_mm=240)
    weak = make_box_kind(name="Weak box", limit_g=700)
    for kind, reason in ((short, "250 mm long; Short box is 240 mm"), (weak, "weight limit for 3 more pairs")):
        with pytest.raises(ValidationError, match=reason):
            box_move(delivery=delivery, version=1, content=content.pk, pairs=10, new_kind=kind, by=packer)
    assert delivery.boxes.count() == 1


@pytest.mark.parametrize("pairs", [0, -1, 11, 10**9])
def test_no_more_pairs_move_than_lie_there(packer, pairs):
    delivery = start_packing(order=make_ready_order(packer, lines=(10,)), by=packer)
    content = boxes_of(delivery)[0].contents.all()[0]
    with pytest.raises(ValidationError, match="Between 1 and 10 pairs"):
        box_move(delivery=delivery, version=1, content=content.pk, pairs=pairs, to_box=1, by=packer)


def test_moves_of_somebody_elses_box_to_no_box_or_by_a_stale_page_are_refused(packer):
    ours = start_packing(order=make_ready_order(packer), by=packer)
    theirs = start_packing(order=make_ready_order(packer), by=packer)
    mine = boxes_of(ours)[0].contents.all()[0].pk
    foreign = boxes_of(theirs)[0].contents.all()[0].pk
    for content, to, reason in ((foreign, 2, "in no box"), (mine, 9, "no such box"), (mine, 1, "that box already")):
        with pytest.raises(ValidationError, match=reason):
            box_move(delivery=ours, version=1, content=content, pairs=1, to_box=to, by=packer)
    with pytest.raises(StaleVersion):
        box_move(delivery=ours, version=7, content=mine, pairs=1, to_box=2, by=packer)
    closed = close(ours, packer)
    with pytest.raises(ValidationError, match="closed"):
        box_move(delivery=closed, version=closed.version, content=mine, pairs=1, to_box=2, by=packer)
