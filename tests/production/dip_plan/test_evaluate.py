"""What wants get of the frames, pair by pair, and what it costs."""

from dataclasses import replace
from datetime import timedelta

from production.dip_plan.construct import construct
from production.dip_plan.evaluate import evaluate
from production.dip_plan.problem import Started, Want
from production.dip_plan.simulate import simulate
from tests.production.dip_plan.tiny_floors import BEGINS, TURN, floor, half_days, item, vat


def line(at: int, pairs: int, day: int, *, weight: int = 1, group: str = "", whole: bool = False) -> Want:
    return Want(at, 0, pairs, BEGINS + timedelta(day), weight, f"line {at}", group, whole)


def two_frames(wants, **given):
    """One position and frames of four pairs: the first is there on the second day, the second on the third."""
    candle = item(0, 0, 6, 4)
    return floor([candle], wants, [vat(0, 0, 1, 2)], [[0, TURN], [TURN, 0]], half_days(4), **given)


def test_supply_goes_to_the_wants_in_their_order():
    plan = simulate(two_frames([line(0, 3, 1, weight=2), line(1, 5, 1, weight=4)]), [[0] * 4])
    assert [(fill.want, fill.pairs, (fill.ready - BEGINS).days) for fill in plan.fills] == [
        (0, 3, 1),
        (1, 1, 1),
        (1, 4, 2),
    ]
    assert [row.late for row in plan.wants] == [0, 16]


def test_pairs_that_do_not_come_count_to_the_last_day_and_six_more():
    plan = simulate(two_frames([line(0, 12, 1)]), [[0] * 4])
    assert (plan.wants[0].open, plan.wants[0].done) == (4, None)
    assert plan.cost.late == 4 * 0 + 4 * 1 + 4 * (1 + 6 - 1)


def test_a_whole_group_is_there_when_its_last_pair_is():
    wants = [line(0, 4, 1, group="order", whole=True), line(1, 4, 1, weight=2, group="order", whole=True)]
    plan = simulate(two_frames(wants), [[0] * 4])
    assert {row.done for row in plan.wants} == {BEGINS + timedelta(2)}
    assert [row.late for row in plan.wants] == [4, 8]


def test_a_whole_line_without_a_group_is_its_own():
    plan = simulate(two_frames([line(0, 4, 1, whole=True), line(1, 4, 1, whole=True)]), [[0] * 4])
    assert [row.late for row in plan.wants] == [0, 4]


def test_promised_pairs_go_where_they_were_promised_and_count_as_late_there():
    problem = two_frames([line(0, 2, 0), line(1, 0, 0, weight=3)])
    off = Started(1, "F1", 0, (), -1, 0, ((1, 2),), 2, hard_s=30 * 3600)
    plan = simulate(replace(problem, started=(off,)), [[0] * 4])
    assert [(fill.want, fill.pairs) for fill in plan.fills] == [(1, 2), (0, 2)]
    assert [row.late for row in plan.wants] == [2 * 2, 2 * 2 * 3]
    assert plan.hangings == ()


def test_change_overs_are_added_up_and_rounded_down():
    problem = two_frames([line(0, 4, 1)])
    odd = replace(problem, change_s=((0, 90), (90, 0)))
    *_, cost = evaluate(odd, ((1, 0, 1, 1),), ())
    assert cost.change_minutes == 4


def test_the_first_plan_is_the_better_of_its_windows():
    plan = construct(two_frames([line(0, 8, 1)]))
    assert plan.baths == ((0, 0, 0, 0),)
    assert plan.cost.over == 0
