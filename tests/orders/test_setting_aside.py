from datetime import date

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, connection, transaction

from inventory.models import Movement, Record
from orders.domain.releasing import (
    mark_packed,
    release_line,
    release_order,
    release_promise,
    send_promises,
    take_over,
    unmark_packed,
)
from orders.domain.setting_aside import set_aside_book, set_aside_order, sync_wants
from orders.domain.shops import change_shop
from orders.models import SetAside
from production.models import HungFor, PlannedFor, Want
from tests.factories import make_candle, make_frame, make_lot, make_order, make_person, make_shop
from tests.factories.planned import make_planned_frame
from tests.recount import recount

pytestmark = pytest.mark.django_db


def order_of(candle, pairs, **fields):
    return make_order(lines=[(candle, pairs)], **fields)


def test_an_order_gets_what_is_free_and_says_why():
    candle, by = make_candle(), make_person()
    lot = make_lot(candle, 36)
    order = order_of(candle, 60)
    result = set_aside_order(order=order, by=by)
    line = order.lines.get()
    assert (result.pairs, result.short) == (36, 24)
    assert (line.set_aside, line.why) == (36, f"24 short: no more free; one lot, {lot.code}")
    assert Record.objects.get(subject="order", subject_id=order.pk).what == (
        f"Set aside 36 pairs, 24 stay open: 36 x {candle.code} of {lot.code}"
    )
    assert (line.want.pairs, line.want.for_whom, line.want.wanted_by) == (24, str(order.shop), order.ship_by)
    recount()


def test_repeated_does_no_harm():
    candle, by = make_candle(), make_person()
    make_lot(candle, 36)
    order = order_of(candle, 60)
    set_aside_order(order=order, by=by)
    rows = list(SetAside.objects.values()), Record.objects.count(), list(Want.objects.values())
    assert set_aside_order(order=order, by=by).pairs == 0
    assert rows == (list(SetAside.objects.values()), Record.objects.count(), list(Want.objects.values()))


def test_each_row_is_read_and_written_once(django_assert_num_queries):
    candle, by = make_candle(), make_person()
    make_lot(candle, 36), make_lot(candle, 24)
    order = order_of(candle, 60)
    sync_wants(order)
    # The savepoint and its release; order, line, want, what hangs for it, lots; lots, promises, what is planned for
    # the want, want, line and record.
    with django_assert_num_queries(13):
        assert set_aside_order(order=order, by=by).short == 0
    recount()


def test_an_order_more_costs_the_book_its_record_alone(django_assert_num_queries):
    candle, by = make_candle(), make_person()
    for count in (1, 4):
        make_lot(candle, 60 * count)
        orders = [order_of(candle, 60, shop=make_shop()) for _ in range(count)]
        for order in orders:
            sync_wants(order)
        numbers = [order.number for order in orders]
        with django_assert_num_queries(12 + count):
            assert set_aside_book(by=by, order_numbers=numbers).pairs == 60 * count
    recount()


@pytest.mark.parametrize("status", ["draft", "cancelled"])
def test_only_confirmed_orders_are_served(status):
    candle = make_candle()
    make_lot(candle, 36)
    order = order_of(candle, 12, status=status)
    assert set_aside_order(order=order, by=make_person()).pairs == 0
    assert set_aside_book(by=make_person()).pairs == 0


def test_pairs_of_one_lot_merge_into_one_promise():
    candle, by = make_candle(), make_person()
    lot = make_lot(candle, 20)
    order = order_of(candle, 30)
    set_aside_order(order=order, by=by)
    lot.refresh_from_db()
    lot.on_hand += 10
    Movement.objects.create(lot=lot, kind="counted in", pairs=10, person=by, at=order.confirmed_at)
    lot.save()
    set_aside_order(order=order, by=by)
    assert SetAside.objects.get().pairs == 30
    assert not Want.objects.exists()
    recount()


def test_the_book_is_served_by_date_then_rank_then_age():
    candle, by = make_candle(), make_person()
    make_lot(candle, 50)
    late = order_of(candle, 20, ship_by=date(2026, 12, 9))
    low = order_of(candle, 20, shop=make_shop(rank=7))
    high = order_of(candle, 20, shop=make_shop(rank=1), placed_on=date(2026, 11, 24))
    result = set_aside_book(by=by)
    assert [order.lines.get().set_aside for order in (high, low, late)] == [20, 20, 10]
    assert result.complete == {high.number, low.number}
    assert late.lines.get().why.startswith("10 short: ordered after 2 others with earlier dates")


def test_complete_only_waits_and_leaves_its_pairs_to_the_next():
    candle, by = make_candle(), make_person()
    make_lot(candle, 36)
    waiting = order_of(candle, 60, shop=make_shop(complete_only=True), ship_by=date(2026, 12, 1))
    served = order_of(candle, 36)
    set_aside_book(by=by)
    assert waiting.lines.get().why == "waits: takes complete deliveries only and 24 are missing"
    assert (waiting.lines.get().set_aside, served.lines.get().set_aside) == (0, 36)


def test_seconds_never_fill_firsts_nor_the_other_way():
    candle, by = make_candle(), make_person()
    firsts, seconds = make_lot(candle, 5), make_lot(candle, 7, grade="seconds", fault="bent")
    of_firsts, of_seconds = order_of(candle, 20), order_of(candle, 20, grade="seconds")
    set_aside_book(by=by)
    assert of_firsts.lines.get().promises.get().lot == firsts
    assert of_seconds.lines.get().promises.get().lot == seconds
    assert Want.objects.get().pairs == 15, "seconds are never asked of the floor"


def test_part_of_a_promise_is_released():
    candle, by = make_candle(), make_person()
    lot = make_lot(candle, 36)
    order = order_of(candle, 36)
    set_aside_order(order=order, by=by)
    release_promise(promise=SetAside.objects.get(), pairs=12, by=by, reason="box dropped")
    line = order.lines.get()
    assert (line.set_aside, SetAside.objects.get().pairs, line.want.pairs) == (24, 24, 12)
    assert line.why == f"12 released by {by}: box dropped"
    lot.refresh_from_db()
    assert lot.free == 12
    recount()


@pytest.mark.parametrize("pairs", [0, -1, 37, 10**9])
def test_more_than_is_promised_is_not_released(pairs):
    candle, by = make_candle(), make_person()
    make_lot(candle, 36)
    set_aside_order(order=order_of(candle, 36), by=by)
    with pytest.raises(ValidationError):
        release_promise(promise=SetAside.objects.get(), pairs=pairs, by=by)
    assert SetAside.objects.get().pairs == 36


def test_packed_pairs_are_not_released():
    candle, by = make_candle(), make_person()
    make_lot(candle, 36)
    order = order_of(candle, 36)
    set_aside_order(order=order, by=by)
    promise = SetAside.objects.get()
    mark_packed([(promise, 30)])
    with pytest.raises(ValidationError):
        release_promise(promise=promise, pairs=7, by=by)
    assert release_order(order=order, by=by) == 6
    with pytest.raises(ValidationError):
        mark_packed([(promise, 31)])
    unmark_packed([(SetAside.objects.get(), 30)])
    assert release_order(order=order, by=by) == 30
    assert release_order(order=order, by=by) == 0
    assert not SetAside.objects.exists()


def test_a_line_gives_up_its_youngest_lot_first():
    candle, by = make_candle(), make_person()
    old, young = make_lot(candle, 20, made_on=date(2026, 10, 1)), make_lot(candle, 20)
    order = order_of(candle, 40)
    set_aside_order(order=order, by=by)
    line = order.lines.get()
    assert release_line(line, by, pairs=25) == 25
    assert line.set_aside == 15
    assert list(line.promises.values_list("lot", "pairs")) == [(old.pk, 15)]
    young.refresh_from_db()
    assert young.free == 20
    recount()


def test_pairs_are_taken_over_and_both_orders_say_so():
    candle, by = make_candle(), make_person()
    lot = make_lot(candle, 36)
    giver, taker = order_of(candle, 36), order_of(candle, 24)
    set_aside_order(order=giver, by=by)
    take_over(from_promise=SetAside.objects.get(), to_line=taker.lines.get(), pairs=24, by=by)
    assert (giver.lines.get().set_aside, taker.lines.get().set_aside) == (12, 24)
    assert giver.lines.get().want.pairs == 24
    said = {r.subject_id: r.what for r in Record.objects.filter(what__contains="over")}
    assert f"order {taker.number}" in said[giver.pk]
    assert f"order {giver.number}" in said[taker.pk]
    lot.refresh_from_db()
    assert lot.set_aside == 36
    recount()


def test_taking_over_refuses_what_does_not_fit():
    candle, by = make_candle(), make_person()
    make_lot(candle, 36)
    giver, taker = order_of(candle, 36), order_of(candle, 24)
    other, seconds = order_of(make_candle(), 24), order_of(candle, 24, grade="seconds")
    set_aside_order(order=giver, by=by)
    promise = SetAside.objects.get()
    for line, pairs in (
        (taker.lines.get(), 25),
        (taker.lines.get(), 0),
        (other.lines.get(), 1),
        (seconds.lines.get(), 1),
        (giver.lines.get(), 1),
    ):
        with pytest.raises(ValidationError):
            take_over(from_promise=promise, to_line=line, pairs=pairs, by=by)
    assert SetAside.objects.get().pairs == 36


def test_sent_pairs_leave_and_the_order_is_done():
    candle, by = make_candle(), make_person()
    lot = make_lot(candle, 36)
    order = order_of(candle, 36)
    set_aside_order(order=order, by=by)
    promise = SetAside.objects.get()
    with pytest.raises(ValidationError):
        send_promises(lines=[(promise, 36)], reference="DN-1", by=by)
    mark_packed([(promise, 36)])
    (movement,) = send_promises(lines=[(promise, 30)], reference="DN-1", by=by)
    assert (movement.pairs, movement.kind) == (-30, "sent")
    order.refresh_from_db()
    assert (order.status, order.lines.get().sent, order.lines.get().set_aside) == ("confirmed", 30, 6)
    recount()
    send_promises(lines=[(SetAside.objects.get(), 6)], reference="DN-2", by=by)
    order.refresh_from_db()
    lot.refresh_from_db()
    assert (order.status, lot.on_hand, lot.set_aside) == ("done", 0, 0)
    assert not SetAside.objects.exists()


def test_wants_follow_the_line():
    candle = make_candle()
    order = order_of(candle, 36)
    sync_wants(order)
    want = Want.objects.get()
    assert (want.pairs, want.group) == (36, f"order {order.number}")
    order.status = "cancelled"
    order.save()
    sync_wants(order)
    assert not Want.objects.exists()
    assert order.lines.get().want_id is None


def test_what_hung_and_was_planned_for_a_filled_line_is_the_shelfs():
    candle = make_candle()
    order = order_of(candle, 36)
    sync_wants(order)
    want = Want.objects.get()
    frame = make_frame(candle, wants={want: 20})
    make_planned_frame(candle, {want: 16})
    make_lot(candle, 36)
    assert set_aside_order(order=order, by=make_person()).short == 0
    frame.refresh_from_db()
    assert (frame.hung_for, HungFor.objects.count(), PlannedFor.objects.count()) == (0, 0, 0)
    assert not Want.objects.exists()
    recount()


def test_no_want_goes_that_a_line_still_names():
    sync_wants(order_of(make_candle(), 36))

    @transaction.atomic
    def commit():
        Want.objects.all().delete()
        connection.check_constraints()

    with pytest.raises(IntegrityError):
        commit()
    assert Want.objects.exists()


def test_wants_follow_the_shop(django_capture_on_commit_callbacks):
    shop, owner = make_shop(rank=5), make_person()
    order = order_of(make_candle(), 36, shop=shop)
    sync_wants(order)
    with django_capture_on_commit_callbacks(execute=True):
        change_shop(shop=shop, version=shop.version, fields={"name": "Ossel Gifts", "rank": 1}, by=owner)
    want = Want.objects.get()
    assert (want.for_whom, want.rank) == (f"Ossel Gifts, {shop.town}", 1)
