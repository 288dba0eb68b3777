"""A plan in words: why a frame hangs there, what makes a line late, what it costs."""

from dataclasses import replace
from datetime import timedelta

import pytest

from production.dip_plan.construct import construct
from production.dip_plan.explain import bound_words, vat_runs, why_frames, why_late
from production.dip_plan.plan import Bound
from production.dip_plan.problem import FramePin, Want
from production.dip_plan.simulate import simulate
from tests.production.dip_plan.rich_floors import rich_floor
from tests.production.dip_plan.tiny_floors import BEGINS, TURN, floor, half_days, item, vat


def asked(items, wants, *, positions=1, **given):
    vats = [vat(0, 0, positions, 2)]
    return floor(items, wants, vats, [[0, TURN], [TURN, 0]], half_days(6), **given)


def line(at: int, item_: int, pairs: int, day: int, **given) -> Want:
    return Want(at, item_, pairs, BEGINS + timedelta(day), 1, f"line {at}", **given)


def test_a_frame_hangs_there_before_the_vat_goes_to_another_bath():
    problem = asked([item(0, 0, 2, 4), item(1, 1, 2, 4)], [line(0, 0, 4, 2), line(1, 1, 4, 4)])
    plan = simulate(problem, [[0, 0, 1, 1, 1, 1]])
    assert list(why_frames(problem, plan).values()) == [
        "Colour 0 before the vat goes to colour 1 on Tue 3 Nov, morning; earliest date 4 Nov.",
        "Colour 1 to the end of the plan; earliest date 6 Nov.",
    ]
    pinned = replace(problem, frame_pins=(FramePin(0, 0, 0),))
    assert why_frames(pinned, simulate(pinned, [[0, 0, 1, 1, 1, 1]]))[0].startswith("Pinned; colour 0 before")


@pytest.mark.parametrize(
    ("baths", "dips", "given", "words"),
    [
        ([1, 1, 1, 0, 0, 0], 2, {}, "No vat in colour 0 until Tuesday 3 Nov."),
        ([0] * 6, 8, {}, "Its 9 turns take 4.5 working hours: too long a dip for Tuesday 3 Nov, even hung at once."),
        ([0] * 6, 5, {}, "Every position over colour 0 is taken until 11:00 on Monday 2 Nov."),
        ([0] * 6, 5, {"positions": 2, "threads": 1}, "No hands left to thread it before"),
        ([0] * 6, 2, {"wax_g": (100,)}, "The wax in hand is used up."),
        ([1] * 6, 2, {}, "No vat in colour 0 until the plan ends on Wednesday 4 Nov."),
    ],
)
def test_the_one_limit_that_binds_is_named(baths, dips, given, words):
    problem = asked([item(0, 0, dips, 4)], [line(0, 0, 8, 1)], **given)
    assert why_late(problem, simulate(problem, [baths]))[0].startswith(words)


def test_a_whole_order_names_the_line_it_waits_for():
    whole = {"group": "order", "whole": True}
    wants = [line(0, 0, 4, 1, **whole), line(1, 1, 4, 1, **whole)]
    problem = asked([item(0, 0, 2, 4), item(1, 1, 2, 4)], wants)
    why = why_late(problem, simulate(problem, [[0, 0, 0, 0, 1, 1]]))
    assert why[0] == "The order goes out whole and waits for candle 1: no vat in colour 1 until Wednesday 4 Nov."
    assert why[1] == "No vat in colour 1 until Wednesday 4 Nov."


def test_runs_of_a_vat_with_the_minutes_lost_between_them():
    problem = asked([item(0, 0, 2, 4)], [line(0, 0, 4, 2)])
    runs = vat_runs(problem, simulate(problem, [[0, 0, 1, 1, 1, 0]]))
    assert [(run.bath, run.first, run.end, run.lost, run.frames) for run in runs] == [
        (0, 0, 2, 0, 1),
        (1, 2, 5, 30, 0),
        (0, 5, 6, 30, 0),
    ]


def test_how_near_the_best_it_is_is_said_in_plain_words():
    """Four late pair-days at 100 each: a cost of 400."""
    plan = simulate(asked([item(0, 0, 2, 4)], [line(0, 0, 4, 0)]), [[0] * 6])
    (words,) = bound_words(plan)
    assert "No useful bound" in words
    proven, cut = bound_words(replace(plan, bound=Bound(4, 0, 0, 400, "Proven."), cut=True))
    assert proven.startswith("No plan costs less than 400; this one costs 400: 100 for each late pair-day by rank,")
    assert proven.endswith("Proven.")
    assert "cut" in cut
    assert (
        "less than 300, 25 % less; this one costs 400" in bound_words(replace(plan, bound=Bound(3, 0, 0, 300, "")))[0]
    )


@pytest.mark.parametrize("seed", range(20))
def test_every_late_line_and_every_frame_has_its_sentence(seed):
    problem = rich_floor(seed)
    plan = construct(problem)
    late, frames = why_late(problem, plan), why_frames(problem, plan)
    assert set(late) == {row.want for row in plan.wants if row.late}
    assert set(frames) == {row.frame for row in plan.hangings}
    assert all(words.endswith(".") for words in [*late.values(), *frames.values()])
