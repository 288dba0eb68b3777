"""Two people at once, by real threads on PostgreSQL: no pair is promised twice, and everything adds up afterwards."""

from datetime import timedelta
from functools import partial

import pytest
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from inventory.domain.versions import StaleVersion
from inventory.models import Lot
from orders.domain.acknowledging import acknowledge_order
from orders.domain.changing import cancel_order, change_pairs
from orders.domain.promising import promise_date
from orders.domain.releasing import mark_packed, release_order, release_promise, send_promises, take_over
from orders.domain.setting_aside import set_aside_book, set_aside_order, sync_wants
from orders.domain.two_ways import RULE, compare_ways, set_aside_book_by
from orders.models import Letter, Order, OrderLine, SetAside
from production.domain.spare import hang_spare_for
from production.models import HungFor, Want
from tests.factories import make_candle, make_frame, make_lot, make_order, make_person
from tests.races.threads import second_waits_for_first, together
from tests.recount import recount

pytestmark = [pytest.mark.postgresql, pytest.mark.django_db(transaction=True)]


def wanted(*lines) -> Order:
    order = make_order(lines=lines)
    sync_wants(order)
    return order


def held(order) -> int:
    return sum(order.lines.values_list("set_aside", flat=True))


def no_errors(results):
    assert not [result for result in results if isinstance(result, Exception)], results
    return results


def test_the_second_waits_for_the_lot_and_finds_it_taken():
    candle, by = make_candle(), make_person()
    make_lot(candle, 24)
    one, two = wanted((candle, 24)), wanted((candle, 24))
    first, second = no_errors(
        second_waits_for_first(partial(set_aside_order, order=one, by=by), partial(set_aside_order, order=two, by=by))
    )
    assert (first.pairs, second.pairs) == (24, 0)
    assert two.lines.get().why.startswith("24 short")
    recount()


def test_the_same_order_set_aside_by_two_people_is_set_aside_once():
    candle, by = make_candle(), make_person()
    make_lot(candle, 60)
    order = wanted((candle, 24))
    results = no_errors(
        second_waits_for_first(
            partial(set_aside_order, order=order, by=by), partial(set_aside_order, order=order, by=by)
        )
    )
    assert [result.pairs for result in results] == [24, 0]
    recount()


def test_eight_at_once_promise_no_more_than_there_is():
    candles, by = [make_candle() for _ in range(3)], make_person()
    for candle in candles:
        for _ in range(3):
            make_lot(candle, 10)
    # The lines run through the candles in different orders, as people type them: locks must not.
    orders = [wanted(*((candles[(n + k) % 3], 12) for k in range(3))) for n in range(8)]
    results = no_errors(together(*(partial(set_aside_order, order=order, by=by) for order in orders)))
    assert sum(result.pairs for result in results) == 90
    assert sum(Lot.objects.values_list("set_aside", flat=True)) == 90
    recount()


def test_the_whole_book_against_single_orders():
    candle, by = make_candle(), make_person()
    make_lot(candle, 100)
    orders = [wanted((candle, 30)) for _ in range(5)]
    acts = [partial(set_aside_book, by=by), *(partial(set_aside_order, order=order, by=by) for order in orders)]
    no_errors(together(*acts, partial(set_aside_book, by=by)))
    assert sum(held(order) for order in orders) == 100
    recount()


def test_setting_aside_against_calling_off():
    candle, by = make_candle(), make_person()
    make_lot(candle, 24)
    order, other = wanted((candle, 24)), wanted((candle, 24))
    cancel = partial(cancel_order, order=order, version=order.version, reason="shop shut", by=by)
    no_errors(second_waits_for_first(partial(set_aside_order, order=order, by=by), cancel))
    order.refresh_from_db()
    assert (order.status, held(order)) == ("cancelled", 0)
    assert set_aside_order(order=other, by=by).pairs == 24
    recount()


def test_calling_off_first_leaves_nothing_to_set_aside():
    candle, by = make_candle(), make_person()
    make_lot(candle, 24)
    order = wanted((candle, 24))
    cancel = partial(cancel_order, order=order, version=order.version, reason="shop shut", by=by)
    _, result = no_errors(second_waits_for_first(cancel, partial(set_aside_order, order=order, by=by)))
    assert (result.pairs, held(order)) == (0, 0)
    recount()


def test_released_pairs_go_to_whoever_waited():
    candle, by = make_candle(), make_person()
    make_lot(candle, 24)
    giver, taker = wanted((candle, 24)), wanted((candle, 24))
    set_aside_order(order=giver, by=by)
    no_errors(together(partial(release_order, order=giver, by=by), partial(set_aside_book, by=by)))
    recount()
    set_aside_book(by=by)
    assert held(giver) + held(taker) == 24
    recount()


def test_a_promise_is_released_once():
    candle, by = make_candle(), make_person()
    make_lot(candle, 24)
    order = wanted((candle, 24))
    set_aside_order(order=order, by=by)
    promise = SetAside.objects.select_related("line").get()
    release = partial(release_promise, promise=promise, pairs=24, by=by)
    first, second = second_waits_for_first(release, release)
    assert first == 24
    assert isinstance(second, ValidationError)
    recount()


def test_two_orders_taking_over_from_each_other_do_not_lock_each_other_out():
    candle, by = make_candle(), make_person()
    make_lot(candle, 12), make_lot(candle, 12)
    one, two = wanted((candle, 24)), wanted((candle, 24))
    set_aside_order(order=one, by=by)
    first, second = SetAside.objects.select_related("line").order_by("pk")
    take_over(from_promise=second, to_line=two.lines.get(), pairs=12, by=by)
    second = two.lines.get().promises.get()
    second.line = two.lines.get()
    no_errors(
        together(
            partial(take_over, from_promise=first, to_line=two.lines.get(), pairs=12, by=by),
            partial(take_over, from_promise=second, to_line=one.lines.get(), pairs=12, by=by),
        )
    )
    assert held(one) + held(two) == 24
    recount()


def test_fewer_pairs_against_setting_aside():
    candle, by = make_candle(), make_person()
    make_lot(candle, 24)
    order = wanted((candle, 24))
    line = order.lines.get()
    fewer = partial(change_pairs, line=line, pairs=6, version=order.version, by=by)
    no_errors(second_waits_for_first(partial(set_aside_order, order=order, by=by), fewer))
    assert OrderLine.objects.get().set_aside == 6
    recount()


@pytest.mark.parametrize("hung_first", [True, False])
def test_hanging_for_a_want_against_filling_it_from_stock(hung_first):
    candle, by = make_candle(), make_person()
    order = wanted((candle, 24))
    make_lot(candle, 24)
    frame = make_frame(candle, expected=43)
    hang, fill = partial(hang_spare_for, [order.lines.get().want_id]), partial(set_aside_order, order=order, by=by)
    acts = [hang, fill] if hung_first else [fill, hang]
    results = no_errors(second_waits_for_first(*acts))
    assert results[not hung_first] == (24 if hung_first else 0)
    frame.refresh_from_db()
    assert (held(order), frame.hung_for, HungFor.objects.count(), Want.objects.count()) == (24, 0, 0, 0)
    recount()


def test_sending_against_releasing():
    candle, by = make_candle(), make_person()
    make_lot(candle, 24)
    order = wanted((candle, 24))
    set_aside_order(order=order, by=by)
    promise = SetAside.objects.select_related("line").get()
    with transaction.atomic():
        mark_packed([(promise, 12)])
    send = partial(send_promises, lines=[(promise, 12)], reference="DN-1", by=by)
    _, released = no_errors(second_waits_for_first(send, partial(release_order, order=order, by=by)))
    assert released == 12
    assert (OrderLine.objects.get().sent, Lot.objects.get().on_hand) == (12, 12)
    recount()


def test_of_two_who_chose_a_way_the_second_is_told():
    candle, by = make_candle(), make_person()
    make_lot(candle, 24)
    wanted((candle, 24)), wanted((candle, 24))
    choose = partial(set_aside_book_by, way=RULE, facts=compare_ways().facts, by=by)
    first, second = second_waits_for_first(choose, choose)
    assert first.pairs == 24
    assert isinstance(second, ValidationError)
    recount()


def test_two_who_promise_at_once_give_two_different_answers_in_turn():
    """The second waits for the order, finds it changed and is told; the same day twice is one promise, one paper."""
    order, by, day = wanted((make_candle(), 24)), make_person(), timezone.localdate() + timedelta(days=4)
    promise = partial(promise_date, order=order, by=by, version=order.version)
    first, second = second_waits_for_first(partial(promise, day=day), partial(promise, day=day + timedelta(days=1)))
    assert first.day == day
    assert isinstance(second, StaleVersion)
    order.refresh_from_db()
    again = no_errors(together(*[partial(promise_date, order=order, by=by, day=day)] * 2))
    assert {row.pk for row in again} == {first.pk}
    papers = no_errors(together(*[partial(acknowledge_order, order=order, to="a@b.example", by=by)] * 2))
    assert len({paper.pk for paper in papers}) == Letter.objects.count() == 1
    recount()
