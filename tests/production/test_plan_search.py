"""Searches for a dip plan: asked once, done by a worker, stopped, started again. Plans of a tiny floor."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from production.dip_plan.check import faults
from production.dip_plan.codec import plan_from_json, problem_from_json
from production.dip_plan.loops import PYTHON_COSTS_S, WORTH_S, Loops
from production.domain.dip_plan import run as running
from production.domain.dip_plan.lease import LEASE, claim, is_cancelled, stop_orphans, worker_name, write
from production.domain.dip_plan.run import run_search
from production.domain.dip_plan.search import ask_search, cancel_search, start_again
from production.models import DipPlan, PlanSearch
from production.models.plan import CANCELLED, FAILED, FOUND, STOPPED, WAITING, WORKING
from production.queries.dip_plan import TAKEN_UP_WITHIN, latest_search, latest_trial, search_progress, state_of
from tests.production.plan_floor import make_plan_floor

pytestmark = pytest.mark.django_db
IMPROVE = "production.dip_plan.improve.improve"


@pytest.fixture
def floor():
    return make_plan_floor()


def ask(floor, **given) -> PlanSearch:
    return ask_search(**{"effort": "quick", "days": 3, "by": floor.by, **given})


def now(search: PlanSearch) -> PlanSearch:
    return PlanSearch.objects.get(pk=search.pk)


def lose_the_worker(search: PlanSearch) -> None:
    """What a worker that was killed leaves behind."""
    past = timezone.now() - LEASE - timedelta(seconds=1)
    PlanSearch.objects.filter(pk=search.pk).update(beat_at=past, lease_until=past)


# The whole way


def test_a_search_finds_a_plan_that_holds(floor):
    search = ask(floor)
    assert search.state == WAITING
    assert run_search(search.pk, worker="w") == FOUND
    search = now(search)
    problem, plan = problem_from_json(search.problem), plan_from_json(search.found)
    assert not faults(problem, plan)
    assert (plan.effort, plan.seed, plan.cost.late) == ("quick", 1, 0)
    assert plan.bound is not None
    assert set(search.facts) >= {"wants", "floor", "vats", "hours", "figures", "pins", "wax"}
    progress = search_progress(search)
    assert (progress.state, progress.share, progress.has_plan, progress.live) == (FOUND, 1.0, True, False)
    assert not DipPlan.objects.exists(), "a search takes nothing over by itself"


def test_the_same_effort_and_seed_find_the_same_plan(floor):
    found = []
    for _ in range(2):
        search = ask(floor, seed=5)
        assert run_search(search.pk, worker="w") == FOUND
        found.append(now(search))
    if found[0].problem == found[1].problem:
        assert found[0].found == found[1].found
    else:
        # The quarter of an hour passed between the two: another question.
        assert found[0].problem["days"] != found[1].problem["days"]


def test_asking_hands_it_over_after_the_commit(floor, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks(execute=True) as callbacks:
        search = ask(floor)
        assert now(search).state == WAITING
    assert len(callbacks) == 1
    assert now(search).state == FOUND


# Asked twice, cancelled, killed, started again


def test_asked_again_while_one_is_on_it_is_the_same(floor):
    first = ask(floor)
    assert ask(floor) == first
    claim(first.pk, "w")
    assert ask(floor, seed=9) == first
    assert PlanSearch.objects.count() == 1
    run = {"state": FOUND}
    PlanSearch.objects.update(**run)
    assert ask(floor) != first


def test_only_one_worker_takes_it_up(floor):
    search = ask(floor)
    assert claim(search.pk, "one")
    assert claim(search.pk, "two") is None
    assert run_search(search.pk, worker="two") == ""


def test_cancelled_before_anybody_began(floor):
    search = cancel_search(search=ask(floor), by=floor.by)
    assert now(search).state == CANCELLED
    assert run_search(search.pk, worker="w") == ""
    assert cancel_search(search=search, by=floor.by).state == CANCELLED


def test_cancelled_in_the_middle_it_keeps_the_best_plan_so_far(floor, monkeypatch):
    def improve(problem, start, *, tell, stop, **given):
        tell(1, 10, start)
        cancel_search(search=search, by=floor.by)
        assert search_progress(now(search)).words == "Stopping."
        assert stop()
        return start

    monkeypatch.setattr(running, "LOOK_S", 0)
    monkeypatch.setattr(IMPROVE, improve)
    search = ask(floor)
    assert run_search(search.pk, worker="w") == CANCELLED
    search = now(search)
    assert (search.state, search.moves, search.moves_in_all) == (CANCELLED, 1, 10)
    assert search_progress(search).has_plan


def test_progress_is_told_while_it_runs(floor, monkeypatch):
    seen = []

    def improve(problem, start, *, tell, stop, **given):
        for done in (3, 6):
            tell(done, 12, start)
            progress = search_progress(now(search))
            seen.append((progress.state, progress.share, progress.has_plan, progress.words))
        return start

    monkeypatch.setattr(running, "LOOK_S", 0)
    monkeypatch.setattr(IMPROVE, improve)
    search = ask(floor)
    run_search(search.pk, worker="w")
    assert seen == [
        (WORKING, 0.25, True, "25 % of the search is done."),
        (WORKING, 0.5, True, "50 % of the search is done."),
    ]


def test_a_killed_worker_shows_as_stopped_and_can_be_started_again(floor):
    search = ask(floor)
    claim(search.pk, "killed")
    assert state_of(now(search)) == WORKING
    with pytest.raises(ValidationError):
        start_again(
            search=PlanSearch.objects.create(asked_at=timezone.now(), asked_by=floor.by, state=FOUND), by=floor.by
        )
    assert start_again(search=search, by=floor.by).state == WORKING, "it is on: nothing is started twice"
    lose_the_worker(search)
    progress = search_progress(now(search))
    assert (progress.state, progress.can_start_again) == (STOPPED, True)
    again = start_again(search=search, by=floor.by)
    assert (again.pk, again.state, again.moves) == (search.pk, WAITING, 0)
    assert run_search(search.pk, worker="another") == FOUND


def test_asking_after_a_kill_writes_the_old_one_off(floor):
    search = ask(floor)
    claim(search.pk, "killed")
    lose_the_worker(search)
    other = ask(floor)
    assert other != search
    assert now(search).state == STOPPED


def test_a_worker_that_comes_back_too_late_changes_nothing(floor):
    search = claim(ask(floor).pk, "slow")
    lose_the_worker(search)
    start_again(search=search, by=floor.by)
    claim(search.pk, "quick")
    assert is_cancelled(search)
    assert not write(search, moves=99)
    assert now(search).moves == 0


def test_nobody_takes_it_up(floor):
    search = ask(floor)
    assert state_of(search) == WAITING
    PlanSearch.objects.update(asked_at=timezone.now() - 2 * TAKEN_UP_WITHIN)
    progress = search_progress(now(search))
    assert progress.state == STOPPED
    assert "is the worker running?" in progress.words
    assert cancel_search(search=search, by=floor.by).state == CANCELLED


def test_a_worker_that_starts_writes_off_what_dead_ones_left(floor):
    search = ask(floor)
    claim(search.pk, worker_name())
    assert stop_orphans() == 0
    # A process of this machine that is no more: no system gives out so high a number.
    PlanSearch.objects.update(worker=worker_name().rsplit(":", 2)[0] + ":4194999:x")
    assert stop_orphans() == 1
    assert now(search).state == STOPPED


def test_a_mistake_in_the_planner_is_kept_and_said(floor, monkeypatch, caplog):
    def improve(*args, **given):
        raise ZeroDivisionError("by nought")

    monkeypatch.setattr(IMPROVE, improve)
    search = ask(floor)
    assert run_search(search.pk, worker="w") == FAILED
    assert "ZeroDivisionError: by nought" in search_progress(now(search)).words
    assert "ZeroDivisionError" in caplog.text
    assert start_again(search=search, by=floor.by).state == WAITING


def test_without_hours_the_search_says_so(floor):
    from production.models import WorkingDay

    WorkingDay.objects.all().delete()
    search = ask(floor)
    assert run_search(search.pk, worker="w") == FOUND
    problem = problem_from_json(now(search).problem)
    assert any("No working hours" in said for said in problem.said)


# What may be asked


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("effort", "eager"),
        ("seed", -1),
        ("seed", 2**31),
        ("seed", "1"),
        ("days", 0),
        ("days", 61),
        ("days", -3),
        ("days", "ten"),
        ("what_if", {"hands": 99}),
        ("what_if", {"order": [{"candle": 0, "pairs": 1, "due": "2026-12-04"}]}),
        ("what_if", {"vats_out": [0]}),
        ("what_if", {"days_worked": ["Saturday"]}),
        ("what_if", {"days_worked": ["1999-01-01"]}),
        ("what_if", {"weather": "fine"}),
    ],
)
def test_bad_questions_are_refused(floor, field, value):
    with pytest.raises(ValidationError):
        ask(floor, **{field: value})
    assert not PlanSearch.objects.exists()


def test_a_trial_is_beside_the_search(floor):
    search = ask(floor)
    trial = ask(floor, what_if={"hands": 1})
    assert trial != search
    assert ask(floor, what_if={"hands": 1}) == trial
    with pytest.raises(ValidationError, match="Another trial"):
        ask(floor, what_if={"hands": 2})
    assert (latest_search(), latest_trial()) == (search, trial)
    assert run_search(trial.pk, worker="w") == FOUND
    assert now(search).state == WAITING


def test_the_worker_gets_every_loop_ready(monkeypatch):
    """Each loop runs once, on a floor whose search is worth compiling; nothing further is searched."""
    ran, asked = [], []

    def told(name):
        return lambda *_: ran.append(name)

    def loops_for(moves, frames):
        asked.append(moves * frames * PYTHON_COSTS_S)
        return Loops(told("begin"), told("anneal"), list)

    monkeypatch.setattr("production.dip_plan.improve.loops_for", loops_for)
    running.get_ready()
    assert ran == ["begin", "anneal"]
    assert asked[0] > WORTH_S
