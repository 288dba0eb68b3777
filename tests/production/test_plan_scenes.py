"""What the dip plan's picture shows in each half-day, and how it is drawn."""

import re
from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from production.dip_plan.problem import Half
from production.plan_scenes import AFTERNOON, MORNING, late_by_frame, part_of, scenes_of
from production.plan_svg import Shape, draw_bath, draw_hanging, draw_late_swatch
from tests.production.small_plan import NOW, THURSDAY, WEDNESDAY, small_plan, small_problem

TAPER = Shape(250, 22, 14, "#efe3c5")


@pytest.fixture
def days():
    return scenes_of(small_problem(), small_plan())


def over(days, day: int, half: int):
    return days[day].scenes[half].overs[0]


def told(found) -> list[tuple]:
    return [(group.item, group.fresh, [each.frame for each in group.hung]) for group in found.groups]


def test_each_half_day_shows_what_hangs(days):
    assert [(day.date, [scene.part for scene in day.scenes]) for day in days] == [
        (WEDNESDAY, [MORNING, AFTERNOON]),
        (THURSDAY, [MORNING, AFTERNOON]),
    ]
    assert told(over(days, 0, 0)) == [(0, False, [0]), (0, True, [1, 2])]
    assert told(over(days, 0, 1)) == [(0, False, [2])]
    assert told(over(days, 1, 0)) == [(1, True, [3])]
    assert told(over(days, 1, 1)) == []
    assert [day.fresh for day in days] == [2, 1]


def test_a_change_of_bath_names_what_was_before(days):
    assert (over(days, 0, 0).bath, over(days, 0, 0).before) == (0, -1)
    changed = over(days, 1, 0)
    assert (changed.bath, changed.before, changed.minutes) == (1, 0, 45)


def test_the_first_half_day_changes_from_what_the_vat_holds():
    red = replace(small_problem().vats[0], bath=1)
    first = scenes_of(small_problem(vats=(red,)), small_plan())[0].scenes[0].overs[0]
    assert (first.before, first.minutes) == (1, 45)


def test_a_vat_without_a_bath_stays_as_it_is():
    first = scenes_of(small_problem(), small_plan(baths=((-1, -1, -1, -1),)))[0].scenes[0].overs[0]
    assert (first.bath, first.before) == (0, -1)


def test_a_frame_grows_from_half_day_to_half_day(days):
    (started,), (first, second) = (group.hung for group in over(days, 0, 0).groups)
    assert (started.share, started.off) == (1.0, True)
    assert (first.share, first.off) == (1.0, True)
    assert 0.4 < second.share < 0.6
    assert not second.off
    later = over(days, 0, 1).groups[0].hung[0]
    assert (later.share, later.off) == (1.0, True)


def test_late_frames_are_known_by_their_fills(days):
    assert late_by_frame(small_problem(), small_plan()) == {3: 1}
    assert over(days, 1, 0).groups[0].late == [1]


def test_a_started_frame_is_late_for_what_it_is_promised():
    problem = small_problem()
    promised = replace(problem.started[0], promised=((0, 10),))
    late = replace(small_plan().ready[0], ready=THURSDAY + timedelta(days=3))
    plan = small_plan(ready=(late,))
    assert late_by_frame(replace(problem, started=(promised,)), plan)[0] == 3


def test_a_lone_half_day_is_told_by_closing_time():
    problem = small_problem(halves=(Half(0, 0, 4 * 3600),))
    assert part_of(problem, problem.halves[0]) == AFTERNOON
    noon = replace(problem.days[0], closes=datetime.combine(NOW.date(), NOW.time().replace(hour=12), NOW.tzinfo))
    assert part_of(replace(problem, days=(noon,)), problem.halves[0]) == MORNING


def test_a_half_dipped_pair_is_drawn_thinner():
    thin, full = draw_hanging(TAPER, share=0.1), draw_hanging(TAPER)
    assert len(thin) == pytest.approx(len(full), rel=0.2)
    assert thin != full
    assert draw_hanging(TAPER, share=5) == full
    assert draw_hanging(TAPER, share=-1) == draw_hanging(TAPER, share=0)


def test_a_late_pair_hangs_before_strokes_and_not_by_colour_alone():
    late, plain = draw_hanging(TAPER, late=True), draw_hanging(TAPER)
    assert late.count("L") > plain.count("L") + 5
    assert set(re.findall("#[0-9a-f]{6}", late)) == set(re.findall("#[0-9a-f]{6}", plain))
    assert "<path" in draw_late_swatch()


def test_a_change_shows_the_colour_before():
    assert "#9c2f2a" not in draw_bath("#efe3c5")
    assert "#9c2f2a" in draw_bath("#efe3c5", before="#9c2f2a")


@pytest.mark.parametrize("drawing", [draw_hanging(TAPER, late=True), draw_bath("#fff", before="#000")])
def test_drawings_carry_no_style_script_or_id(drawing):
    assert not re.search(r"\s(style|id|on\w+)=|<script|url\(", drawing)
    assert 'aria-hidden="true"' in drawing


def test_a_colour_cannot_break_out_of_its_attribute():
    assert '"><b>' not in draw_hanging(replace(TAPER, colour='"><b>')) + draw_bath('"><b>', before='"><b>')
