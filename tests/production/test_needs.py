"""What has to be bought and by when: the sums by themselves."""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from production.needs import (
    FLOOR,
    LIST,
    PLAN,
    Arrival,
    Dipped,
    Held,
    Need,
    by_week,
    days_to_hang,
    outlook,
    wax_and_dye,
    weeks_from,
)

TODAY = date(2026, 11, 30)  # a Monday
IVORY, RED = (1, 1), (1, 2)


def held(on_hand=100_000, *, in_vats=0, keep=0, pack=25_000, lead_days=7):
    return Held(on_hand, in_vats, keep, pack, lead_days)


def need(days, amount, source=FLOOR):
    return Need(TODAY + timedelta(days=days), amount, source)


def coming(days, amount):
    return Arrival(TODAY + timedelta(days=days), amount)


def in_days(days):
    return TODAY + timedelta(days=days)


def test_what_lasts_is_not_bought():
    seen = outlook(held(), [need(3, 60_000), need(9, 40_000)], [], TODAY)
    assert (seen.needed, seen.order, seen.runs_out, seen.order_by) == (100_000, 0, None, None)


def test_it_is_ordered_so_that_it_is_there_when_it_runs_out_in_whole_packs():
    seen = outlook(held(), [need(3, 60_000), need(20, 41_000)], [], TODAY)
    assert (seen.runs_out, seen.order, seen.order_by) == (in_days(20), 25_000, in_days(13))
    assert seen.days_late() == 0


def test_what_is_always_kept_and_what_stands_in_the_vats_is_not_used_up():
    seen = outlook(held(keep=10_000, in_vats=50_000), [need(10, 45_000)], [], TODAY)
    # 50 kg can be used, 45 go: 5 are left of the 10 to be kept, and nothing runs out.
    assert (seen.order, seen.order_by, seen.runs_out) == (25_000, in_days(3), None)


def test_less_than_is_always_kept_is_ordered_though_nothing_asks_for_it():
    seen = outlook(held(4, keep=10, pack=50), [], [], TODAY)
    assert (seen.order, seen.order_by, seen.runs_out) == (50, in_days(-7), None)


def test_what_is_under_way_is_not_bought_again():
    seen = outlook(held(), [need(10, 150_000)], [coming(5, 50_000)], TODAY)
    assert (seen.order, seen.coming, seen.runs_out) == (0, 50_000, None)


def test_what_comes_too_late_is_told_and_not_bought_again():
    seen = outlook(held(), [need(2, 150_000)], [coming(5, 50_000)], TODAY)
    assert (seen.order, seen.runs_out) == (0, in_days(2))


def test_a_delivery_counts_on_its_day():
    assert outlook(held(), [need(5, 150_000)], [coming(5, 50_000)], TODAY).runs_out is None


def test_what_is_overdue_is_as_of_today():
    seen = outlook(held(10), [need(-4, 30)], [coming(-9, 20)], TODAY)
    assert (seen.runs_out, seen.order) == (None, 0)
    assert outlook(held(10), [need(-4, 30)], [], TODAY).runs_out == TODAY


def test_ordered_too_late_it_says_for_how_long_the_store_is_empty():
    seen = outlook(held(), [need(3, 130_000)], [], TODAY)
    assert (seen.order_by, seen.arrives, seen.days_late()) == (in_days(-4), in_days(7), 4)


def test_without_a_supplier_there_is_no_day_to_order_by():
    seen = outlook(held(lead_days=None), [need(3, 130_000)], [], TODAY)
    assert (seen.order, seen.order_by, seen.arrives, seen.days_late()) == (50_000, None, None, 0)


def test_a_pack_of_nothing_is_no_pack():
    with pytest.raises(ValueError, match="above nought"):
        outlook(held(pack=0), [], [], TODAY)


def test_the_supplier_is_told_on_a_day_that_leaves_the_store_never_empty():
    """Ordered on the last day to do so, it arrives before or as the store runs out; a day later it would not."""
    needs = [need(days, 7_000) for days in range(2, 60, 3)]
    seen = outlook(held(), needs, [], TODAY)
    on_time = outlook(held(), needs, [Arrival(seen.order_by + timedelta(days=7), seen.order)], TODAY)
    late = outlook(held(), needs, [Arrival(seen.order_by + timedelta(days=8), seen.order)], TODAY)
    assert on_time.runs_out is None
    assert on_time.order == 0
    assert late.runs_out is not None


def test_wax_and_dye_are_drawn_by_the_blend_after_our_own_remelt():
    dipped = [Dipped(in_days(2), IVORY, 8_000, PLAN), Dipped(TODAY, IVORY, 10_000, FLOOR)]
    blend, dye = {"paraffin": Decimal(80), "stearin": Decimal(20)}, {"ivory dye": Decimal(2)}
    found = wax_and_dye(dipped, {IVORY: 11_000}, lambda bath: blend, lambda bath: dye)
    # 11 kg of remelt cover the floor's 10 kg and 1 of the plan's 8; the remelt is dyed already.
    assert found == {
        "paraffin": [Need(in_days(2), 5_600, PLAN)],
        "stearin": [Need(in_days(2), 1_400, PLAN)],
        "ivory dye": [Need(in_days(2), 14, PLAN)],
    }


def test_remelt_of_one_colour_is_no_use_to_another():
    found = wax_and_dye(
        [Dipped(TODAY, RED, 500, LIST)], {IVORY: 900}, lambda bath: {"wax": Decimal(100)}, lambda _: {}
    )
    assert found == {"wax": [Need(TODAY, 500, LIST)]}


def test_a_wax_without_a_blend_asks_for_nothing():
    assert wax_and_dye([Dipped(TODAY, RED, 500, LIST)], {}, lambda bath: {}, lambda bath: {"dye": 3}) == {}


def test_frames_are_hung_for_the_earliest_want_that_lacks_pairs():
    wants = [(in_days(10), 40), (in_days(4), 30)]
    ahead = timedelta(days=2)
    assert days_to_hang(wants, 0, 45, 2, ahead) == [in_days(2), in_days(8)]
    assert days_to_hang(wants, 30, 45, 1, ahead) == [in_days(8)]
    assert days_to_hang(wants, 70, 45, 1, ahead) == [in_days(8)]  # asked for beyond the last want
    assert days_to_hang([], 0, 45, 2, ahead) == []


def test_weeks_begin_on_monday_and_what_is_overdue_counts_in_the_first():
    wednesday = TODAY + timedelta(days=2)
    mondays = weeks_from(wednesday, 2)
    assert mondays == [TODAY, in_days(7)]
    needs = [need(-3, 1), need(0, 2), need(6, 4), need(7, 8), need(13, 16), need(14, 32)]
    assert by_week(needs, mondays) == [7, 24, 32]
