"""Trials: what may be tried, how it is said, and that the book stays as it is."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from production.dip_plan.codec import plan_from_json, problem_from_json
from production.domain.dip_plan.run import run_search
from production.domain.dip_plan.search import ask_search
from production.domain.dip_plan.what_if import MOST_ROWS, check_changes, in_words
from production.models import PlanSearch, Want
from production.queries.dip_plan import standing_plan
from tests.production.plan_floor import make_plan_floor, stand_plan

pytestmark = pytest.mark.django_db
SOON = timezone.localdate() + timedelta(days=9)


@pytest.fixture
def floor():
    return make_plan_floor()


def row(floor, **changed) -> dict:
    return {"candle": floor.taper.pk, "pairs": 48, "due": SOON.isoformat(), **changed}


def test_only_what_changes_something_is_kept(floor):
    assert check_changes({}) == check_changes({"order": [], "vats_out": [], "days_worked": [], "hands": 0}) == {}
    given = {"order": [row(floor, pairs="48", due=SOON)], "vats_out": [floor.south.pk] * 2, "days_worked": [SOON]}
    assert check_changes(given) == {
        "order": [row(floor)], "vats_out": [floor.south.pk], "days_worked": [SOON.isoformat()]
    }  # fmt: skip


def test_a_trial_is_said_in_words(floor):
    said = in_words(
        {"order": [row(floor)], "vats_out": [floor.south.pk], "days_worked": [SOON.isoformat()], "hands": -2}
    )
    when = f"{SOON.day} {SOON:%b}"
    assert said == f"with 48 pairs more by {when}, South vat out, {SOON:%A} {when} worked, 2 fewer pairs of hands"
    assert in_words({"hands": 1}) == "with 1 more pair of hands"
    assert in_words({}) == "as things are"


@pytest.mark.parametrize(
    ("part", "changed"),
    [
        ("order", {"pairs": 0}),
        ("order", {"pairs": -4}),
        ("order", {"pairs": 10**9}),
        ("order", {"pairs": "many"}),
        ("order", {"candle": None}),
        ("order", {"due": ""}),
        ("order", {"due": "2020-01-01"}),
        ("order", {"due": "9999-12-31"}),
        ("order", {"due": "\x00"}),
    ],
)
def test_bad_rows_are_refused_at_their_field(floor, part, changed):
    with pytest.raises(ValidationError) as refused:
        check_changes({part: [row(floor, **changed)]})
    assert list(refused.value.message_dict) == [part]


def test_an_order_without_end_is_refused(floor):
    with pytest.raises(ValidationError):
        check_changes({"order": [row(floor)] * (MOST_ROWS + 1)})


def test_a_trial_plans_the_order_and_leaves_the_book_alone(floor):
    standing = stand_plan(floor, now=timezone.now())
    search = ask_search(effort="quick", days=6, what_if={"order": [row(floor, pairs=90)]}, by=floor.by)
    run_search(search.pk, worker="w")
    search = PlanSearch.objects.get(pk=search.pk)
    problem, plan = problem_from_json(search.problem), plan_from_json(search.found)
    (tried,) = [place for place, want in enumerate(problem.wants) if want.key < 0]
    assert problem.wants[tried].label == "the order that is tried"
    assert sum(fill.pairs for fill in plan.fills if fill.want == tried) == 90
    assert standing_plan() == standing
    assert Want.objects.count() == 2
