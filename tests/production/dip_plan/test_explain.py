"""Why a frame hangs there, and what makes a line late: one limit each, in words."""

from dataclasses import replace
from datetime import timedelta

import pytest

from production.dip_plan.explain import why_frames, why_late
from production.dip_plan.plan import WantGets
from production.dip_plan.problem import Stage
from tests.production.small_plan import HOUR, THURSDAY, WEDNESDAY, in_time, small_plan, small_problem

SATURDAY = THURSDAY + timedelta(days=2)


def test_a_frame_hangs_before_its_vat_goes_to_another_colour():
    why = why_frames(small_problem(), small_plan())
    assert why == {
        1: "Ivory until Thursday 26 Nov, morning, then red; its earliest date is 26 Nov.",
        2: "Ivory until Thursday 26 Nov, morning, then red; its earliest date is 26 Nov.",
        3: "Red as far as the plan goes; its earliest date is 26 Nov.",
    }


def test_a_frame_nobody_waits_for_says_so():
    why = why_frames(small_problem(), small_plan(fills=()))
    assert why[3] == "Red as far as the plan goes; nobody waits for its pairs, they go to the shelf."


def test_lines_in_time_need_no_reason():
    assert why_late(small_problem(), in_time()) == {}


def test_no_vat_in_the_colour():
    """Red could have been hung on Wednesday, but the vat is ivory until Thursday."""
    assert why_late(small_problem(), small_plan()) == {1: "no vat in red until Thursday 26 Nov"}


def of_red(problem=None, **changes) -> str:
    """Why the red line is late, with something else in the way."""
    return why_late(problem or small_problem(), small_plan(**{"baths": ((1, 1, 1, 1),), **changes}))[1]


def test_every_position_is_taken():
    narrow = replace(small_problem().vats[0], positions=1)
    full = tuple(replace(row, ends=16 * HOUR) for row in small_plan().hangings)
    assert of_red(small_problem(vats=(narrow,)), hangings=full) == (
        "every position over red is taken until Thursday 26 Nov"
    )


def test_no_hands_are_left():
    assert of_red(small_problem(threads=(2, 0, 0, 8))) == "no hands left to thread it until Thursday 26 Nov"


def test_other_lines_come_first():
    assert of_red() == "other lines come before it over red until Thursday 26 Nov"


def test_the_wax_is_spoken_for():
    gets = (small_plan().wants[0], WantGets(1, None, 30, 99))
    assert of_red(small_problem(wax_g=(6500,)), wants=gets) == "the wax in hand is spoken for"
    assert of_red(small_problem(wax_g=(9000,)), wants=gets).startswith("other lines come before it")


@pytest.mark.parametrize(
    ("item", "vat", "why"),
    [
        ({}, {"may_hold": frozenset({0})}, "no vat may hold red"),
        ({"length_mm": 600}, {}, "no vat that may hold red covers a candle of 600 mm"),
        ({"counted": (0,)}, {}, "no firsts are counted on from its frames"),
        (
            {"stages": (Stage(1, 400, 240, 30),)},
            {},
            "400 dips and 12 hours to harden are more than the time left",
        ),
    ],
)
def test_what_cannot_be(item, vat, why):
    problem = small_problem()
    items = (problem.items[0], replace(problem.items[1], **item))
    assert of_red(replace(problem, items=items, vats=(replace(problem.vats[0], **vat),))) == why


def test_it_was_wanted_before_the_plan_begins():
    wants = (small_problem().wants[0], replace(small_problem().wants[1], due=WEDNESDAY - timedelta(days=1)))
    assert of_red(small_problem(wants=wants)) == "it was wanted by Tuesday 24 Nov, before the plan begins"


def test_an_order_that_leaves_as_a_whole_waits_for_its_last_line():
    problem, plan = small_problem(), small_plan()
    wants = tuple(replace(want, group="order 1", whole=True) for want in problem.wants)
    late = tuple(replace(gets, done=SATURDAY) for gets in plan.wants)
    why = why_late(replace(problem, wants=wants), replace(plan, wants=late))
    assert why[0] == "its order leaves as a whole, and another line of it is late"
    assert why[1] == "no vat in red until Thursday 26 Nov"


def test_nobody_works():
    assert of_red(small_problem(halves=()), hangings=(), fills=()) == "nobody works in the days ahead"
