"""Two people at one frame, and a frame graded while its order changes: real threads on PostgreSQL."""

from functools import partial

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from inventory.models import Lot
from orders.domain.changing import cancel_order, change_pairs
from orders.domain.setting_aside import set_aside_book, set_aside_order
from orders.models import OrderLine
from production.audit import breaches
from production.domain.grading import grade_frame
from production.domain.regrading import correct_grading
from production.domain.wick_ends import book_wick_ends, wick_ends_there
from production.models import Grading
from tests.factories import make_candle, make_lot, make_person
from tests.factories.floor import make_frame
from tests.orders.grading import grade, hang, held, want_of, wanted
from tests.races.threads import second_waits_for_first, together
from tests.recount import recount

pytestmark = [pytest.mark.postgresql, pytest.mark.django_db(transaction=True)]


def grading(frame, firsts=40, seconds=5, by=None):
    """The act of grading, to be done later."""
    return partial(
        grade_frame,
        frame=frame,
        version=1,
        firsts=firsts,
        seconds={"bubbles": seconds},
        remelt=frame.hung - firsts - seconds,
        by=by or make_person("dipper"),
    )


def sound():
    recount()
    assert [line for line in breaches() if "trigger" not in line] == []


def no_errors(results):
    assert not [result for result in results if isinstance(result, Exception)], results
    return results


def test_of_two_who_grade_one_frame_the_second_is_told():
    candle = make_candle()
    order = wanted((candle, 40))
    frame = hang(candle, {order: 40})
    first, second = second_waits_for_first(grading(frame), grading(frame, 39, 6))
    assert first == Grading.objects.get()
    assert isinstance(second, ValidationError)
    assert "was graded by" in second.messages[0]
    assert held(order) == [40]
    sound()


def test_one_persons_double_click_grades_once():
    frame, by = make_frame(state="off"), make_person("dipper")
    first, second = no_errors(second_waits_for_first(grading(frame, by=by), grading(frame, by=by)))
    assert first == second
    assert Lot.objects.count() == 2
    sound()


def test_grading_against_cancelling_the_order():
    candle = make_candle()
    order = wanted((candle, 40))
    frame = hang(candle, {order: 40})
    cancel = partial(cancel_order, order=order, version=order.version, reason="shop shut", by=make_person())
    no_errors(second_waits_for_first(grading(frame), cancel))
    assert held(order) == [0]
    assert Lot.objects.get(grade="firsts").free == 40
    sound()


def test_cancelling_the_order_against_grading():
    candle = make_candle()
    order = wanted((candle, 40))
    frame = hang(candle, {order: 40})
    cancel = partial(cancel_order, order=order, version=order.version, reason="shop shut", by=make_person())
    no_errors(second_waits_for_first(cancel, grading(frame)))
    assert held(order) == [0]
    assert Lot.objects.get(grade="firsts").free == 40
    sound()


def test_grading_against_fewer_pairs():
    candle = make_candle()
    order = wanted((candle, 40))
    frame = hang(candle, {order: 40})
    fewer = partial(change_pairs, line=order.lines.get(), pairs=10, version=order.version, by=make_person())
    no_errors(second_waits_for_first(fewer, grading(frame)))
    assert held(order) == [10]
    sound()


def test_frames_that_hang_for_the_same_orders_do_not_lock_each_other_out():
    candles, by = [make_candle() for _ in range(2)], make_person()
    orders = [wanted(*((candle, 60) for candle in candles), complete_only=n == 3) for n in range(4)]
    for candle in candles:
        make_lot(candle, 20)
    frames = []
    for n in range(6):
        candle, place = candles[n % 2], 1 + n % 2
        # Each names the orders in another order of keys: locks must not.
        mine = orders if n % 3 else orders[::-1]
        frames.append(make_frame(candle, state="off", wants={want_of(order, place): 10 for order in mine}))
    acts = [grading(frame) for frame in frames]
    acts += [partial(set_aside_order, order=orders[1], by=by), partial(set_aside_book, by=by)]
    no_errors(together(*acts))
    assert Grading.objects.count() == 6
    assert sum(OrderLine.objects.values_list("set_aside", flat=True)) > 120
    sound()


def test_a_frame_hung_for_one_more_while_it_is_graded_is_looked_at_again():
    candle = make_candle()
    order, late = wanted((candle, 20)), wanted((candle, 20))
    frame = hang(candle, {order: 20})

    def promise_more():
        from production.domain.wants import lock_wants
        from production.models import Frame

        lock_wants([want_of(late).pk])
        Frame.objects.select_for_update().get(pk=frame.pk)
        frame.promises.create(want=want_of(late), pairs=10)
        Frame.objects.filter(pk=frame.pk).update(hung_for=30)

    no_errors(second_waits_for_first(promise_more, grading(frame)))
    assert (held(order), held(late)) == ([20], [20])
    sound()


def test_two_who_put_one_grading_right():
    row = grade(make_frame(state="off"), 40, 5)
    put = partial(correct_grading, grading=row, version=1, reason="miscounted", by=make_person())
    first, second = second_waits_for_first(
        partial(put, firsts=38, seconds={"bubbles": 7}, remelt=3),
        partial(put, firsts=39, seconds={"bubbles": 6}, remelt=3),
    )
    assert first.firsts == 38
    assert isinstance(second, ValidationError)
    assert Lot.objects.get(grade="firsts").on_hand == 38
    sound()


def test_putting_right_against_setting_aside():
    candle = make_candle()
    row = grade(make_frame(candle, state="off"), 40, 5)
    order = wanted((candle, 40))
    put = partial(
        correct_grading,
        grading=row, version=1, firsts=30, seconds={"bubbles": 15}, remelt=3, reason="miscounted", by=make_person(),
    )  # fmt: skip
    no_errors(second_waits_for_first(put, partial(set_aside_order, order=order, by=make_person())))
    assert held(order) == [30]
    sound()


def test_bags_are_sold_once():
    by = make_person()
    book_wick_ends(kind="weighed in", grams=1000, by=by)
    book_wick_ends(kind="bagged", grams=1000, bags=3, by=by)
    sell = partial(book_wick_ends, kind="sold", bags=2, by=by)
    first, second = second_waits_for_first(sell, sell)
    assert first.bags == -2
    assert isinstance(second, ValidationError)
    assert wick_ends_there() == {"grams": 0, "bags": 1}
    assert timezone.now() >= first.at
