"""A graded frame and the orders it hung for: pairs set aside at once, by the rule, or left wanted."""

from datetime import date

import pytest

from inventory.models import Lot, Record
from orders.domain.changing import cancel_order, change_pairs
from orders.domain.setting_aside import set_aside_order
from orders.models import SetAside
from production.models import HungFor, Want
from tests.factories import make_candle, make_lot, make_person, make_shop
from tests.factories.floor import make_frame, make_run
from tests.orders.grading import grade, hang, held, want_of, wanted
from tests.recount import recount

pytestmark = pytest.mark.django_db


@pytest.fixture
def candle():
    return make_candle()


def test_the_line_is_covered_without_being_touched(candle):
    order = wanted((candle, 40))
    frame = hang(candle, {order: 40})
    make_run(frames=[frame])
    grading = grade(frame, 44, 3)
    line = order.lines.get()
    assert (line.set_aside, line.want, line.why) == (40, None, f"one lot, {grading.lot.code}")
    assert list(SetAside.objects.values_list("lot", "pairs")) == [(grading.lot.pk, 40)]
    assert Lot.objects.get(pk=grading.lot.pk).free == 4
    assert not Want.objects.exists()
    assert [row["got"] for row in grading.promised] == [40]
    what = Record.objects.get(subject="order", subject_id=order.pk).what
    assert what == f"Set aside 40 pairs: 40 x {candle.code} of {grading.lot.code}"
    recount()


def test_a_shortfall_goes_by_the_rule_and_back_on_the_dip_list(candle):
    later = wanted((candle, 20), ship_by=date(2026, 12, 11))
    ranked = wanted((candle, 20), shop=make_shop(rank=1), ship_by=date(2026, 12, 4))
    first = wanted((candle, 20), ship_by=date(2026, 12, 4), placed_on=date(2026, 11, 1))
    frame = hang(candle, {later: 14, ranked: 14, first: 14})
    grade(frame, 30, 18)
    assert [held(order) for order in (ranked, first, later)] == [[14], [14], [2]]
    assert later.lines.get().why == f"12 short: frame {frame} gave 30 of 42 firsts; one lot, {Lot.objects.first()}"
    assert {want_of(order).pairs for order in (ranked, first)} == {6}
    assert want_of(later).pairs == 18
    assert not HungFor.objects.exists()
    recount()


def test_a_surplus_goes_to_pairs_no_other_frame_hangs_for_and_then_to_the_shelf(candle):
    order = wanted((candle, 60))
    want = want_of(order)
    make_frame(candle, state="hanging", wants={want: 15})
    grade(hang(candle, {order: 40}), 48)
    # 60 are open: 40 hung for, 15 on the other frame, so 5 of the surplus of 8 are wanted.
    assert held(order) == [45]
    assert Lot.objects.get().free == 3
    assert HungFor.objects.get().pairs == 15
    recount()


def test_an_order_the_frame_does_not_hang_for_is_not_touched(candle):
    urgent = wanted((candle, 24), ship_by=date(2026, 12, 1))
    order = wanted((candle, 24))
    grade(hang(candle, {order: 24}), 40)
    assert (held(urgent), held(order)) == ([0], [24])
    assert Lot.objects.get().free == 16


def test_a_line_that_shrank_gives_the_rest_to_the_shelf(candle):
    order = wanted((candle, 40))
    frame = hang(candle, {order: 40})
    change_pairs(line=order.lines.get(), pairs=30, version=order.version, by=make_person())
    frame.refresh_from_db()
    assert frame.hung_for == 30
    grade(frame, 40)
    assert held(order) == [30]
    assert Lot.objects.get().free == 10
    recount()


def test_a_cancelled_order_gets_nothing(candle):
    order = wanted((candle, 40))
    frame = hang(candle, {order: 40})
    cancel_order(order=order, version=order.version, reason="shop shut", by=make_person())
    frame.refresh_from_db()
    grade(frame, 44)
    assert held(order) == [0]
    assert Lot.objects.get().free == 44
    recount()


def test_no_firsts_leave_the_line_wanted_and_say_so(candle):
    order = wanted((candle, 40))
    frame = hang(candle, {order: 40})
    grading = grade(frame, 0, 48)
    assert order.lines.get().why == f"40 short: frame {frame} gave 0 of 40 firsts"
    assert want_of(order).pairs == 40
    assert grading.promised[0]["got"] == 0
    assert Lot.objects.get().grade == "seconds"
    recount()


def test_two_lines_of_one_candle_share_the_frame(candle):
    order = wanted((candle, 20), (candle, 20))
    frame = make_frame(candle, state="off", wants={want_of(order, 1): 20, want_of(order, 2): 20})
    grade(frame, 30)
    assert held(order) == [20, 10]
    recount()


def test_complete_only_waits_until_nothing_is_missing(candle):
    other = make_candle()
    order = wanted((candle, 24), (other, 24), complete_only=True)
    frame = make_frame(candle, state="off", wants={want_of(order, 1): 24})
    last = make_frame(other, state="off", wants={want_of(order, 2): 24})
    grade(frame, 40)
    assert held(order) == [0, 0]
    assert order.lines.first().why == "waits: takes complete deliveries only and 24 are missing"
    assert Lot.objects.get().free == 40
    recount()
    grade(last, 24)
    assert held(order) == [24, 24]
    recount()


def test_complete_only_takes_what_else_is_free(candle):
    make_lot(candle, 30)
    order = wanted((candle, 50), complete_only=True)
    grading = grade(hang(candle, {order: 20}), 40)
    assert held(order) == [50]
    assert grading.promised[0]["got"] == 50
    assert sum(Lot.objects.values_list("set_aside", flat=True)) == 50
    recount()


def test_complete_only_that_waits_leaves_the_pairs_to_the_next(candle):
    whole = wanted((candle, 60), complete_only=True, ship_by=date(2026, 12, 1))
    order = wanted((candle, 30), ship_by=date(2026, 12, 8))
    grade(hang(candle, {whole: 24, order: 10}), 40)
    assert (held(whole), held(order)) == ([0], [30])
    recount()


def test_pairs_that_came_from_stock_meanwhile_are_not_given_twice(candle):
    order = wanted((candle, 40))
    frame = hang(candle, {order: 40})
    make_lot(candle, 35)
    set_aside_order(order=order, by=make_person())
    frame.refresh_from_db()
    assert frame.hung_for == 5
    grade(frame, 44)
    assert held(order) == [40]
    recount()
