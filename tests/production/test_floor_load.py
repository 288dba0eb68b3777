"""How full the floor's weeks are, by hand on a small floor."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from production.dip_plan.problem import Want
from production.floor_levelling import fits, levelled, relief, with_frames
from production.floor_load import EXPECTED, HANGING, WANTED, firsts_of, floor_weeks, hang_by, kinds_of, weeks_of
from production.floor_load_svg import draw_load
from tests.production.small_plan import HOUR, THURSDAY, WEDNESDAY, small_problem

FRAME_S = 31 * 240  # thirty dips and the turn it is hung in, of four minutes
WEEK_S = 16 * HOUR  # two days of eight hours


def two_weeks(**changes):
    """The small floor, whose two days are worked in two weeks."""
    problem = small_problem(started=(), wants=(), **changes)
    shift = timedelta(days=6)  # Thursday becomes the next week's Wednesday
    days = tuple(
        day if n == 0 else replace(day, date=day.date + shift, opens=day.opens + shift, closes=day.closes + shift)
        for n, day in enumerate(problem.days)
    )
    return replace(problem, days=days)


def test_a_week_has_the_hours_and_hands_of_its_half_days():
    (week,) = weeks_of(small_problem())
    assert (week.monday, week.open_s, week.threads) == (WEDNESDAY - timedelta(days=2), WEEK_S, 32)


def test_a_frame_is_weighed_by_hand():
    """One ivory frame: 31 turns of 4 min on one of six positions, one of 32 threadings."""
    floor = floor_weeks(small_problem(started=(), wants=()), [(0, 41, THURSDAY)])
    load = floor.load(0)
    assert firsts_of(floor.problem.items[0]) == 41
    assert load.positions == load.turns == pytest.approx(FRAME_S / (6 * WEEK_S))
    assert load.hands == pytest.approx(1 / 32)
    assert (load.binds, load.vats) == ("hands", frozenset({0}))


def test_what_hangs_needs_no_threading_and_wants_come_on_top():
    floor = floor_weeks(small_problem())
    kinds = kinds_of(floor.tasks)
    assert kinds[HANGING] == 11 * 240
    assert kinds[WANTED] == pytest.approx(FRAME_S * (60 / 41 + 30 / 40))
    assert floor.load(0).threading == pytest.approx(60 / 41 + 30 / 40)


def test_a_colour_beyond_the_vats_costs_a_change_over():
    bare = small_problem(started=(), wants=())
    floor = floor_weeks(bare, [(0, 41, THURSDAY), (1, 40, THURSDAY)])
    load = floor.load(0)
    assert load.turns == pytest.approx((2 * FRAME_S / 6 + 45 * 60) / WEEK_S)
    assert load.positions == pytest.approx(2 * FRAME_S / 6 / WEEK_S)


def test_the_vats_that_alone_can_do_the_work_are_the_full_ones():
    """A second vat that may not hold red helps ivory only."""
    vat = small_problem().vats[0]
    other = replace(vat, key=6, name="South vat", may_hold=frozenset({0}))
    problem = small_problem(started=(), wants=(), vats=(vat, other))
    red, ivory = floor_weeks(problem, [(1, 400, THURSDAY)]), floor_weeks(problem, [(0, 410, THURSDAY)])
    assert (red.load(0).vats, ivory.load(0).vats) == (frozenset({0}), frozenset({0, 1}))
    assert red.load(0).positions == pytest.approx(2 * ivory.load(0).positions)


def test_hands_can_be_what_is_full():
    floor = floor_weeks(small_problem(started=(), wants=(), threads=(1, 0, 0, 0)), [(0, 82, THURSDAY)])
    assert (floor.load(0).binds, floor.load(0).hands) == ("hands", 2.0)
    assert floor_weeks(small_problem(started=(), wants=(), threads=(0,) * 4), [(0, 1, THURSDAY)]).load(0).hands == 1.0


def test_a_frame_is_hung_in_time_to_be_hard_the_evening_before():
    problem = two_weeks()
    item = problem.items[0]
    # Twelve hours to harden: hard by the evening before means dipped two days before; it takes one day.
    assert hang_by(problem, item, WEDNESDAY + timedelta(days=9)) == WEDNESDAY + timedelta(days=7)
    assert hang_by(problem, item, date(2026, 1, 1)) == WEDNESDAY


def test_firsts_to_spare_are_used_before_frames_are_hung():
    started = (replace(small_problem().started[0], spare=41),)
    floor = floor_weeks(small_problem(started=started, wants=()), [(0, 82, THURSDAY)])
    assert sum(task.frames for task in floor.tasks if task.kind == EXPECTED) == pytest.approx(1)


def test_what_no_vat_can_dip_is_left_out_and_said():
    vat = replace(small_problem().vats[0], depth_mm=100)
    floor = floor_weeks(small_problem(started=(), wants=(), vats=(vat,)), [(0, 41, THURSDAY)])
    assert (floor.tasks, floor.said) == ([], ["Ivory taper is left out: no vat in use can dip it."])


def test_too_much_in_a_week_moves_to_the_week_before_and_no_further_than_it_must():
    problem = two_weeks()
    late = WEDNESDAY + timedelta(days=20)
    # A week's eight hours take 6 x 8 h / (31 x 4 min) = 23.2 frames; 30 are asked of the second week.
    asked = floor_weeks(problem, [(0, 30 * 41, late)])
    level, over = levelled(asked)
    frames = [sum(task.frames for task in level.of_week(week)) for week in (0, 1)]
    room = 6 * 8 * HOUR / FRAME_S
    assert frames[1] == pytest.approx(min(room, 16), rel=0.01)  # hands: eight a half-day
    assert sum(frames) == pytest.approx(30)
    assert (over, level.load(0).most <= 1) == (0.0, True)
    assert relief(asked, level) == {0: pytest.approx(frames[0])}


def test_what_not_even_the_first_week_takes_is_told():
    level, over = levelled(floor_weeks(two_weeks(), [(0, 48 * 41, WEDNESDAY + timedelta(days=20))]))
    assert over == pytest.approx(16, rel=0.02)
    assert level.load(1).most == pytest.approx(1, abs=0.001)


def test_frames_fit_up_to_what_is_called_full():
    floor = floor_weeks(two_weeks())
    assert [fits(floor, 0, 0, 99, full) for full in (1.0, 0.5)] == [16, 8]
    assert fits(with_frames(floor, 0, 0, 16), 0, 0, 99) == 0
    assert fits(floor, 0, 0, 5) == 5


def test_no_hours_no_weeks():
    floor = floor_weeks(small_problem(days=(), halves=(), threads=(), wants=(), started=()))
    assert (floor.weeks, levelled(floor)[1]) == ([], 0.0)


def test_the_picture_says_each_week():
    asked = floor_weeks(two_weeks(), [(0, 30 * 41, WEDNESDAY + timedelta(days=20))])
    level, _ = levelled(asked)
    drawn = draw_load(asked, [(asked.load(place), level.load(place)) for place in (0, 1)])
    assert "week of 23 Nov 0 %; week of 30 Nov 188 %" in drawn
    assert "style=" not in drawn


def test_wants_of_candles_nobody_counts_on_are_left_out():
    items = (replace(small_problem().items[0], counted=(0,)), small_problem().items[1])
    want = Want(11, 0, 60, THURSDAY, 2, "Fern & Flint")
    floor = floor_weeks(small_problem(items=items, wants=(want,), started=()))
    assert floor.said == ["Ivory taper is left out: no firsts are counted on from its frames."]
