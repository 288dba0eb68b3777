"""Grading a frame: the count, the lots, and what the floor itself keeps of it."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from inventory.domain.versions import StaleVersion
from inventory.models import Lot, Movement, Record
from production.audit import breaches
from production.domain.grading import grade_frame
from production.models import GradedFault, Grading, HungFor, Want
from production.queries.grading import faults_for, frame_of_lot
from production.signals import frame_graded, grading_begins
from tests.factories import make_candle, make_person
from tests.factories.floor import make_frame, make_run, make_want

pytestmark = pytest.mark.django_db


@pytest.fixture
def frame():
    return make_frame(state="off", dips=34)


def grade(frame, firsts=44, seconds=None, remelt=1, by=None, **fields):
    seconds = {"bubbles": 2, "drip tail": 1} if seconds is None else seconds
    fields = {"version": frame.version, **fields}
    return grade_frame(
        frame=frame, firsts=firsts, seconds=seconds, remelt=remelt, by=by or make_person("dipper"), **fields
    )


def refused(frame, **fields) -> str:
    """Why the grading is refused; nothing has happened then."""
    with pytest.raises(ValidationError) as refusal:
        grade(frame, **fields)
    assert not Grading.objects.exists()
    assert not Lot.objects.exists()
    assert type(frame).objects.get(pk=frame.pk).state == frame.state
    return " ".join(refusal.value.messages)


def test_a_frame_becomes_a_lot_of_firsts_and_one_of_seconds_by_fault(frame):
    run = make_run(frames=[frame])
    grading = grade(frame)
    assert (grading.firsts, grading.seconds, grading.remelt) == (44, 3, 1)
    assert (grading.lot.grade, grading.lot.on_hand, grading.lot.dip_run) == ("firsts", 44, run.code)
    assert grading.lot.made_on == timezone.localdate(frame.off_at)
    assert list(grading.faults.values_list("fault", "pairs", "lot__fault", "lot__on_hand", "lot__grade")) == [
        ("bubbles", 2, "bubbles", 2, "seconds"),
        ("drip tail", 1, "drip tail", 1, "seconds"),
    ]
    assert set(Movement.objects.values_list("kind", "reference")) == {("made", frame.code)}
    frame.refresh_from_db()
    assert (frame.state, frame.hung_for, frame.version) == ("graded", 0, 2)
    assert list(breaches()) == []


def test_every_lot_leads_back_to_its_frame(frame):
    grading = grade(frame)
    lots = [grading.lot, *(row.lot for row in grading.faults.all())]
    assert [frame_of_lot(lot) for lot in lots] == [frame] * 3
    assert len({lot.code for lot in lots}) == 3


def test_lots_carry_the_run_that_dipped_last(frame):
    make_run(frames=[frame], code="R1", started_at=timezone.now() - timedelta(days=3))
    make_run(frames=[frame], code="R2", started_at=timezone.now() - timedelta(days=2))
    undipped = make_run(code="R3", started_at=timezone.now() - timedelta(days=1))
    undipped.frames.create(frame=frame, dips=0)
    assert grade(frame).lot.dip_run == "R2"


def test_a_frame_dipped_off_the_book_has_no_run(frame):
    assert grade(frame).lot.dip_run == ""


def test_all_of_it_may_go_to_remelt(frame):
    grading = grade(frame, firsts=0, seconds={}, remelt=48)
    assert (grading.lot, grading.remelt) == (None, 48)
    assert not Lot.objects.exists()
    assert list(breaches()) == []


@pytest.mark.parametrize(
    ("numbers", "why"),
    [
        ({"firsts": 40}, "44 of 48 pairs are counted: 4 are missing."),
        ({"firsts": 43}, "47 of 48 pairs are counted: 1 is missing."),
        ({"firsts": 46}, "50 pairs are counted, but 48 were hung: 2 too many."),
        ({"firsts": 10**9}, "too many"),
        ({"firsts": -1}, "A whole number of pairs from 0 to 48."),
        ({"remelt": -1}, "A whole number of pairs from 0 to 48."),
        ({"firsts": 44.0}, "A whole number of pairs from 0 to 48."),
        ({"seconds": {"bubbles": -3, "bent": 6}}, "A whole number of pairs from 0 to 48."),
        ({"seconds": {"  ": 3}}, "Say what is wrong with them."),
        ({"seconds": {"x" * 41: 3}}, "A fault has at most 40 characters."),
        ({"firsts": 0, "seconds": {}, "remelt": 0}, "0 of 48 pairs are counted"),
    ],
)
def test_a_count_that_is_not_what_was_hung_is_refused(frame, numbers, why):
    assert why in refused(frame, **numbers)


def test_one_fault_in_two_spellings_is_one_lot(frame):
    grading = grade(frame, seconds={"bubbles": 1, " Bubbles ": 2, "bent": 0})
    assert list(grading.faults.values_list("fault", "pairs")) == [("bubbles", 3)]


@pytest.mark.parametrize("state", ["threaded", "hanging", "scrapped"])
def test_only_a_frame_taken_off_is_graded(state):
    assert "can be graded" in refused(make_frame(state=state))


def test_before_it_is_hard_it_takes_a_reason():
    frame = make_frame(state="off", off_at=timezone.now(), hard_at=timezone.now() + timedelta(hours=20))
    assert "Say why it is graded before." in refused(frame)
    assert "At most 200 characters." in refused(frame, early="x" * 201)
    grade(frame, early="thin, hard to the touch")
    assert "Graded before it was hard: thin" in Record.objects.get(subject="frame").what


def test_a_form_made_before_the_frame_changed_is_refused(frame):
    with pytest.raises(StaleVersion):
        grade(frame, version=frame.version + 1)
    assert not Lot.objects.exists()


def test_the_same_count_sent_twice_grades_once(frame):
    by = make_person("dipper")
    assert grade(frame, by=by) == grade(frame, by=by)
    assert Grading.objects.count() == 1
    assert Lot.objects.count() == 3


@pytest.mark.parametrize("numbers", [{}, {"firsts": 45, "remelt": 0}])
def test_the_second_of_two_people_is_told(frame, numbers):
    first = make_person("dipper", full_name="Ada Poole")
    grade(frame, by=first)
    with pytest.raises(ValidationError, match=r"was graded by Ada Poole .* already: 44 firsts, 3 seconds"):
        grade(frame, **numbers)
    assert Grading.objects.get().person == first


def test_the_second_count_of_one_person_is_told_too(frame):
    by = make_person("dipper")
    grade(frame, by=by)
    with pytest.raises(ValidationError, match="Nothing of yours was written"):
        grade(frame, firsts=43, remelt=2, by=by)
    assert Lot.objects.get(grade="firsts").on_hand == 44


def test_own_wants_are_met_by_the_shelf():
    candle = make_candle()
    small, large = make_want(candle, 10), make_want(candle, 60, for_whom="the shelf")
    frame = make_frame(candle, state="off", wants={small: 10, large: 30})
    grade(frame, firsts=36, seconds={}, remelt=12)
    assert not Want.objects.filter(pk=small.pk).exists()
    assert Want.objects.get(pk=large.pk).pairs == 34
    assert not HungFor.objects.exists()
    assert [(row["pairs"], row["got"]) for row in Grading.objects.get().promised] == [(10, 10), (30, 26)]
    assert Lot.objects.get().free == 36
    assert "4 pairs of firsts fewer than it hung for" in Record.objects.filter(subject="frame").latest("pk").what


@pytest.mark.parametrize("signal", [grading_begins, frame_graded])
def test_a_listener_that_fails_rolls_everything_back(signal):
    want = make_want()
    frame = make_frame(want.candle, state="off", wants={want: 40})
    records = Record.objects.count()

    def fail(**_):
        raise RuntimeError("the listener fails")

    signal.connect(fail)
    try:
        with pytest.raises(RuntimeError):
            grade(frame)
    finally:
        assert signal.disconnect(fail)
    frame.refresh_from_db()
    assert (frame.state, frame.hung_for, frame.promises.get().pairs) == ("off", 40, 40)
    assert not Grading.objects.exists()
    assert not Lot.objects.exists()
    assert Record.objects.count() == records
    assert Want.objects.get().pairs == 48


def test_the_frames_own_faults_are_offered_first_and_own_words_stay(frame):
    grade(frame, seconds={"cat hair": 2, "bent": 1})
    offered = faults_for(frame.candle)
    assert offered[:2] == ["cat hair", "bent"]
    assert faults_for(make_candle())[-1] == "cat hair"
    assert len(offered) == len(set(offered))


@pytest.mark.parametrize(
    "fields", [{"firsts": 4, "lot": None}, {"firsts": 0, "seconds": 0, "remelt": 0}], ids=["no lot", "nothing"]
)
def test_the_database_refuses_half_a_grading(frame, fields):
    values = {"firsts": 0, "seconds": 0, "remelt": 0, **fields}
    with pytest.raises(IntegrityError), transaction.atomic():
        Grading.objects.create(frame=frame, person=make_person(), at=timezone.now(), **values)


def test_the_database_refuses_a_fault_of_no_pairs_and_a_fault_twice(frame):
    grading = grade(frame)
    row = grading.faults.first()
    for pairs, fault in ((0, "ripples"), (1, row.fault)):
        with pytest.raises(IntegrityError), transaction.atomic():
            GradedFault.objects.create(grading=grading, fault=fault, pairs=pairs, lot=Lot.objects.create(
                code=f"X{pairs}", candle=frame.candle, grade="seconds", fault=fault, made_on=timezone.localdate()))  # fmt: skip  # noqa: E501


def test_the_database_refuses_more_hung_for_than_expected():
    want = make_want()
    with pytest.raises(IntegrityError), transaction.atomic():
        make_frame(want.candle, state="off", wants={want: 41}, expected=40)
