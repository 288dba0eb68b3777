"""The dip plan's sentences."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from production.dip_plan.plan import WantGets
from production.plan_beside import figures_beside, moved_lines, trial_sentence
from production.plan_words import (
    better_by,
    cost_sentence,
    covered,
    days_late,
    frame_sentence,
    full_day,
    late_lines,
    late_sentence,
    lateness,
    pins_sentence,
    plan_sentence,
    said_day,
    tally,
    week_end,
    week_sentence,
    work_time,
)
from tests.production.small_plan import NOW, THURSDAY, WEDNESDAY, in_time, small_plan, small_problem


def facts(plan=None, **changes):
    return replace(tally(small_problem(), plan or small_plan()), **changes)


def test_the_first_line_says_what_hangs_and_what_is_late():
    said = plan_sentence(small_problem(), small_plan(), NOW)
    assert said == "3 frames hang until tomorrow; 1 of 2 orders due is ready in time, 1 line is late by 1 day."


def test_the_first_line_says_that_all_is_in_time():
    said = plan_sentence(small_problem(), in_time(), NOW)
    assert said == "3 frames hang until tomorrow; all 2 orders due are ready in time."


def test_what_hung_before_now_is_not_counted():
    later = NOW + timedelta(hours=7)
    assert plan_sentence(small_problem(), in_time(), later).startswith("1 frame hangs until tomorrow;")
    evening = NOW + timedelta(days=1, hours=5)
    assert plan_sentence(small_problem(), in_time(), evening).startswith("No new frame hangs until today;")


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"wants": ()}, "Nothing is wanted of the floor: there is nothing to plan."),
        ({"halves": ()}, "No hour is worked in the days ahead: nothing can be planned."),
    ],
)
def test_there_may_be_nothing_to_plan(changes, said):
    assert plan_sentence(small_problem(**changes), small_plan(wants=()), NOW) == said


def test_a_line_the_plan_does_not_finish_stays_unfinished():
    plan = small_plan(wants=(WantGets(0, THURSDAY, 0, 0), WantGets(1, None, 30, 180)))
    problem = small_problem()
    assert lateness(tally(problem, plan)) == "1 line stays unfinished on 26 November"
    assert late_sentence(problem, plan) == "Of 2 lines, 1 stays unfinished on 26 November; 30 pairs wait."
    line = late_lines(problem, plan)[0]
    assert (line.days, line.open, days_late(line, THURSDAY)) == (None, 30, "not by 26 Nov")


def test_late_and_unfinished_are_both_said():
    plan = small_plan(wants=(WantGets(0, THURSDAY + timedelta(days=2), 0, 9), WantGets(1, None, 30, 180)))
    assert lateness(tally(small_problem(), plan)) == (
        "1 line is late by 2 days and 1 line stays unfinished on 26 November"
    )
    assert [line.want for line in late_lines(small_problem(), plan)] == [1, 0]


def test_several_late_lines_name_the_worst():
    late = tuple(WantGets(n, THURSDAY + timedelta(days=n + 1), 0, 9) for n in (0, 1))
    assert lateness(tally(small_problem(), small_plan(wants=late))) == "2 lines are late, the worst by 2 days"


def test_wants_of_the_workshop_itself_are_lines_not_orders():
    own = tuple(replace(want, group="") for want in small_problem().wants)
    assert covered(tally(small_problem(wants=own), small_plan())) == (
        "1 of 2 lines due is ready in time, 1 line is late by 1 day"
    )
    assert covered(tally(small_problem(wants=own[:1]), small_plan(wants=small_plan().wants[:1]))) == (
        "the line due is ready in time"
    )


def test_no_line_late_is_said_plainly():
    assert late_sentence(small_problem(), in_time()) == (
        "No line is late: all 2 lines of the dip list are ready in time."
    )


@pytest.mark.parametrize(
    ("day", "said"),
    [
        (WEDNESDAY, "today"),
        (THURSDAY, "tomorrow"),
        (date(2026, 11, 28), "Saturday"),
        (date(2026, 12, 2), "Wednesday 2 December"),
        (date(2026, 11, 24), "Tuesday 24 November"),
    ],
)
def test_days_are_said_as_people_say_them(day, said):
    assert said_day(day, WEDNESDAY) == said


@pytest.mark.parametrize(
    ("minutes", "said"),
    [(0, "no minute"), (45, "45 minutes"), (60, "1 hour"), (340, "5 hours 40 minutes"), (61, "1 hour 1 minute")],
)
def test_work_is_said_in_hours_and_minutes(minutes, said):
    assert work_time(minutes) == said


def test_the_cost_is_said_in_plain_terms():
    assert cost_sentence(facts()) == (
        "30 late pair-days by rank; 45 minutes of change-over; no frame more than the wants need."
    )
    assert cost_sentence(facts(in_time(), over=2)) == (
        "No pair is late; 45 minutes of change-over; 2 frames more than the wants need."
    )


def test_a_found_plan_is_told_against_the_one_that_stands():
    found = facts(in_time(), change_minutes=90, frames=4)
    assert better_by(found, facts()) == (
        "0 lines late instead of 1; 0 late pair-days instead of 30; 45 minutes more change-over; 1 frame more."
    )
    assert better_by(facts(), facts()) == "1 line late."


def test_the_week_ends_with_its_last_day_of_work():
    assert week_end(small_problem(), NOW) == THURSDAY
    assert week_end(small_problem(), NOW + timedelta(days=9)) == THURSDAY
    said = week_sentence(small_problem(), small_plan(), date(2026, 11, 23), NOW)
    assert said == (
        "Week of Monday 23 November: 3 frames to hang, the first on Wednesday at 08:00; 1 line is late by 1 day."
    )
    empty = week_sentence(small_problem(), in_time(), date(2026, 11, 30), NOW)
    assert empty == "Week of Monday 30 November: no frame to hang; no line is late."


def test_a_frame_is_told_in_one_sentence():
    said = frame_sentence("Frame 7 of the plan, 96 pairs of Ivory taper", "North vat", NOW, THURSDAY, NOW)
    assert said == (
        "Frame 7 of the plan, 96 pairs of Ivory taper: over North vat from today at 08:00, "
        f"ready on {full_day(THURSDAY)}."
    )


def test_pins_are_told():
    assert pins_sentence([]) == "Nothing is pinned: the plan chooses freely."
    assert pins_sentence(["North vat in ivory"]) == "1 pin holds: North vat in ivory."
    assert pins_sentence(["a", "b"]) == "2 pins hold; the first is a."


def test_a_trial_stands_beside_the_plan():
    stands, trial = (small_problem(), small_plan()), (small_problem(), in_time())
    then, now = tally(*stands), tally(*trial)
    moved = moved_lines(stands, trial)
    assert [(each.want.key, each.words) for each in moved] == [(12, "1 day sooner")]
    assert trial_sentence("with Saturday 28 Nov worked", then, now, moved) == (
        "With Saturday 28 Nov worked: 0 lines late instead of 1; 1 line sooner, none later."
    )
    rows = {row.what: (row.stands, row.trial) for row in figures_beside(then, now)}
    assert rows["Orders ready in time"] == ("1 of 2", "2 of 2")
    assert rows["The worst of them"] == ("1 day", "–")
    assert rows["Change-over"] == ("45 minutes", "45 minutes")


def test_lines_that_are_tried_stand_first():
    problem, plan = small_problem(), small_plan()
    more = replace(problem.wants[1], key=-1, group="tried")
    tried = (
        replace(problem, wants=(*problem.wants, more)),
        replace(plan, wants=(WantGets(0, None, 60, 0), plan.wants[1], WantGets(2, THURSDAY, 0, 0))),
    )
    moved = moved_lines((problem, plan), tried)
    assert [(each.want.key, each.words) for each in moved] == [(-1, "tried"), (11, "not finished any more")]
    said = trial_sentence("with 30 pairs more", tally(problem, plan), tally(*tried), moved)
    assert said.startswith("With 30 pairs more: what is tried is ready by Thu 26 Nov; 2 lines late instead of 1;")
    other = replace(tried[0], wants=(*problem.wants, replace(more, group="order 9")))
    assert moved_lines((problem, plan), (other, tried[1]))[0].words == "new since the plan"
    back = moved_lines(tried, (problem, plan))
    assert [(each.want.key, each.words) for each in back] == [(11, "finished now")]


def test_a_threaded_frame_that_waits_is_to_be_hung_too():
    problem = small_problem()
    waits = replace(problem, started=(replace(problem.started[0], vat=-1, position=-1),))
    assert plan_sentence(waits, in_time(), NOW).startswith("4 frames hang until tomorrow;")
