"""Closing boxes, unpacking and the van: papers, stock and tax point, and what is refused."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from inventory.domain.versions import StaleVersion
from inventory.models import Lot, Movement, Record
from orders.domain.packing import close_boxes, start_packing, unpack, van_day_left, van_left
from orders.domain.setting_aside import set_aside_order
from orders.models import Box, BoxContent, Delivery, DeliveryLine, Paper, PaperCancellation, Series, SetAside
from tests.factories import make_lot, make_person
from tests.factories.bench import make_left, make_packed, make_ready_order
from tests.orders.deliveries import close, today

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("sound_deliveries")]


@pytest.fixture
def packer():
    return make_person("packer")


# Closing


def test_closing_makes_a_note_and_a_slip_a_box_without_moving_stock(packer):
    delivery = make_packed(packer, lines=(30, 12))
    assert delivery.state == "packed"
    assert delivery.note.number == "DN-1001"
    assert [box.slip.number for box in delivery.boxes.all()] == ["DN-1001/1", "DN-1001/2"]
    assert Lot.objects.get(candle=delivery.lines.first().line.candle).on_hand == 30
    assert Record.objects.filter(subject="delivery", what__contains="DN-1001").exists()


def test_closed_twice_is_one_note_and_somebody_else_is_told(packer):
    delivery = start_packing(order=make_ready_order(packer), by=packer)
    first = close(delivery, packer)
    assert close_boxes(delivery=delivery, version=1, by=packer).note == first.note
    with pytest.raises(ValidationError, match=f"{packer.full_name} closed these boxes at .* as DN-1001"):
        close_boxes(delivery=delivery, version=1, by=make_person("packer"))
    assert Paper.objects.filter(kind="delivery note").count() == 1


def test_a_stale_page_closes_nothing(packer):
    delivery = start_packing(order=make_ready_order(packer), by=packer)
    with pytest.raises(StaleVersion):
        close_boxes(delivery=delivery, version=9, by=packer)
    assert not Paper.objects.exists()


def test_put_on_stop_while_it_was_packed_it_is_not_closed_and_no_number_is_lost(packer):
    delivery = start_packing(order=make_ready_order(packer), by=packer)
    shop = delivery.order.shop
    shop.on_stop, shop.stop_reason = True, "cheque came back"
    shop.save()
    with pytest.raises(ValidationError, match="on stop: cheque came back"):
        close(delivery, packer)
    assert Series.objects.get(name="delivery note").next == 1001


def test_boxes_that_do_not_hold_what_goes_are_not_closed(packer):
    delivery = start_packing(order=make_ready_order(packer, lines=(10,)), by=packer)
    BoxContent.objects.update(pairs=9)
    with pytest.raises(ValidationError, match=r"10 pairs of .* go, but the boxes hold 9"):
        close(delivery, packer)


def test_an_overfull_box_is_not_closed(packer):
    delivery = start_packing(order=make_ready_order(packer, lines=(20,)), by=packer)
    candle = delivery.lines.get().line.candle
    candle.pairs_per_box = 12
    candle.save()
    with pytest.raises(ValidationError, match="Box 1: Standard box has space for 12 more pairs"):
        close(delivery, packer)


# Unpacking


def test_unpacking_puts_everything_back_and_keeps_the_number_as_cancelled(packer):
    delivery = make_packed(packer)
    unpacked = unpack(delivery=delivery, version=delivery.version, reason="wrong candles", by=packer)
    assert unpacked.state == "unpacked"
    assert PaperCancellation.objects.count() == 3
    assert set(SetAside.objects.values_list("pairs", "packed")) == {(30, 0)}
    again = make_packed(packer, delivery.order)
    assert again.note.number == "DN-1002"


def test_unpacked_twice_is_once(packer):
    delivery = make_packed(packer)
    for _ in range(2):
        unpack(delivery=delivery, version=delivery.version, reason="wrong candles", by=packer)
    assert PaperCancellation.objects.filter(paper__kind="delivery note").count() == 1


def test_closed_boxes_want_a_reason_open_ones_do_not(packer):
    delivery = make_packed(packer)
    with pytest.raises(ValidationError, match="Say why: DN-1001"):
        unpack(delivery=delivery, version=delivery.version, reason="  ", by=packer)
    open_one = start_packing(order=make_ready_order(packer), by=packer)
    assert unpack(delivery=open_one, version=1, by=packer).state == "unpacked"


def test_what_has_left_is_not_unpacked(packer):
    delivery = make_left(packer)
    with pytest.raises(ValidationError, match="only come back as a return"):
        unpack(delivery=delivery, version=delivery.version, reason="why not", by=packer)


# The van


def test_the_van_moves_the_stock_and_sets_the_tax_point(packer):
    delivery = make_left(packer, lines=(30,), lots=[(20, 10)])
    assert delivery.left_on == today()
    sent = Movement.objects.filter(kind="sent")
    assert {(row.pairs, row.reference, row.person_id) for row in sent} == {
        (-20, "DN-1001", packer.pk),
        (-10, "DN-1001", packer.pk),
    }
    assert {line.movement.pairs + line.pairs for line in delivery.lines.all()} == {0}
    assert {lot.on_hand for lot in Lot.objects.all()} == {0}
    delivery.order.refresh_from_db()
    assert delivery.order.status == "done"
    assert not SetAside.objects.exists()


def test_left_twice_moves_once(packer):
    delivery = make_left(packer)
    van_left(delivery=delivery, version=1, on=today(), by=packer)
    assert Movement.objects.filter(kind="sent").count() == 1
    Delivery.objects.update(closed_at=timezone.now() - timedelta(days=3))
    with pytest.raises(ValidationError, match="DN-1001 left on"):
        van_left(delivery=delivery, version=1, on=today() - timedelta(days=1), by=packer)


@pytest.mark.parametrize(("days", "reason"), [(1, "yet to come"), (-1, "then or later")])
def test_the_van_left_neither_tomorrow_nor_before_the_boxes_were_closed(packer, days, reason):
    delivery = make_packed(packer)
    with pytest.raises(ValidationError, match=reason):
        van_left(delivery=delivery, version=delivery.version, on=today() + timedelta(days=days), by=packer)


def test_open_boxes_do_not_leave(packer):
    delivery = start_packing(order=make_ready_order(packer), by=packer)
    with pytest.raises(ValidationError, match="not closed yet"):
        van_left(delivery=delivery, version=1, on=today(), by=packer)


def test_a_van_day_leaves_and_what_is_on_stop_stays(packer):
    going, staying = make_packed(packer), make_packed(packer)
    Delivery.objects.update(van_day=today())
    shop = staying.order.shop
    shop.on_stop, shop.stop_reason = True, "overdue"
    shop.save()
    gone, refused = van_day_left(van_day=today(), on=today(), by=packer)
    assert gone == [going]
    assert refused == [f"{staying.note.number}: {shop.name} is on stop: overdue."]
    staying.refresh_from_db()
    assert staying.state == "packed"
    # Said again: the one that left is not sent twice.
    assert van_day_left(van_day=today(), on=today(), by=packer)[0] == []


def test_the_second_part_of_an_order_says_it_completes_it(packer):
    order = make_ready_order(packer, lines=(30,), lots=[(20,)])
    make_left(packer, order)
    make_lot(order.lines.get().candle, 10, by=packer)
    set_aside_order(order=order, by=packer)
    second = make_left(packer, order)
    assert second.note.content["to_come"] == []
    assert second.note.content["lines"][0]["pairs"] == 10
    order.refresh_from_db()
    assert order.status == "done"


# Constraints, by a bare create


def test_the_database_knows_one_open_delivery_an_order(packer):
    delivery = start_packing(order=make_ready_order(packer), by=packer)
    with pytest.raises(IntegrityError), transaction.atomic():
        Delivery.objects.create(
            order=delivery.order, van_day=today(), started_at=timezone.now(), started_by=packer, state="packing"
        )


def test_the_database_refuses_packed_without_a_note_and_left_without_a_day(packer):
    order = make_ready_order(packer)
    bare = {"order": order, "van_day": today(), "started_at": timezone.now(), "started_by": packer}
    for state in ("packed", "left"):
        with pytest.raises(IntegrityError), transaction.atomic():
            Delivery.objects.create(**bare, state=state)


def test_the_database_refuses_empty_lines_and_contents_and_doubled_box_numbers(packer):
    delivery = start_packing(order=make_ready_order(packer), by=packer)
    line, box = delivery.lines.first(), delivery.boxes.first()
    other = make_lot(line.line.candle, 5, by=packer)
    for bare in (
        lambda: DeliveryLine.objects.create(delivery=delivery, line=line.line, lot=other, pairs=0),
        lambda: BoxContent.objects.filter(box=box).update(pairs=0),
        lambda: Box.objects.create(delivery=delivery, number=box.number, kind=box.kind),
    ):
        with pytest.raises(IntegrityError), transaction.atomic():
            bare()
