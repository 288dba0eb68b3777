"""Each breach of the floor is planted behind the ORM's back; the audit names it."""

from datetime import timedelta
from io import StringIO

import pytest
from django.core.management import call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from inventory.models import Lot, Movement
from inventory.triggers import unguard
from production.audit import GUARDED, breaches
from production.domain.wick_ends import book_wick_ends
from production.models import Frame, GradedFault, Grading, WickEnds
from tests.factories import make_candle, make_lot, make_person
from tests.factories.floor import make_frame, make_want
from tests.inventory.test_audit import Editor, behind  # noqa: F401 - a fixture
from tests.orders.grading import grade

pytestmark = pytest.mark.django_db


@pytest.fixture
def grading():
    return grade(make_frame(state="off", code="F7"), 40, 5)


def found(*words):
    """One breach, leaving out the triggers and constraints a test took away itself; it holds all the words."""
    lines = [line for line in breaches() if "trigger" not in line and "constraint" not in line]
    assert len(lines) == 1, lines
    assert all(str(word) in lines[0] for word in words), lines


def test_silent_where_all_is_well(grading):
    want = make_want(pairs=30)
    make_frame(want.candle, state="hanging", wants={want: 30})
    book_wick_ends(kind="weighed in", grams=900, by=make_person())
    assert list(breaches()) == []


def test_a_pair_that_is_not_accounted_for(grading):
    Grading.objects.update(remelt=2)
    found("frame F7", "48 pairs were hung, 47 were counted off")


def test_seconds_that_are_not_those_of_the_faults(grading):
    Grading.objects.update(seconds=4, remelt=4)
    found("frame F7", "4 seconds were counted, its faults add up to 5")


def test_a_graded_frame_without_a_grading():
    make_frame(state="graded", code="F8")
    found("frame F8", "48 pairs are not accounted for")


def test_a_grading_of_a_frame_that_is_not_graded(grading):
    Frame.objects.update(state="off")
    found("frame F7", "has a grading, but is taken off")


def test_a_graded_frame_that_still_hangs_for_somebody(grading):
    Frame.objects.update(hung_for=3)
    found("frame F7", "still hung for 3 pairs")


def test_a_frame_hung_for_more_than_it_is_expected_to_give(behind):  # noqa: F811
    want = make_want(pairs=44)
    frame = make_frame(want.candle, state="hanging", wants={want: 44}, code="F9")
    behind(Frame, "frame_hung_for_within_expected")
    Frame.objects.filter(pk=frame.pk).update(expected=43)
    found("frame F9", "hung for 44 pairs, but expected to give 43")
    Frame.objects.filter(pk=frame.pk).update(expected=None)
    found("frame F9", "nobody reckoned what it is expected to give")


@pytest.mark.parametrize(("grade_of_lot", "what"), [("firsts", "not firsts"), ("seconds", "not seconds")])
def test_a_lot_of_another_candle(grading, grade_of_lot, what):
    lot = Lot.objects.get(grade=grade_of_lot)
    Lot.objects.filter(pk=lot.pk).update(candle=make_candle())
    found("frame F7", lot, what)


def test_a_lot_of_another_fault(grading):
    GradedFault.objects.update(fault="bent")
    found("frame F7", "with 'bent'")


def test_a_lot_that_took_in_other_pairs_than_were_graded(grading):
    lot = grading.lot
    Movement.objects.create(
        lot=lot, kind="put right", pairs=2, reference="F7", person=make_person(), at=timezone.now()
    )
    found(f"lot {lot}", "frame F7 says 40 pairs, its movements 42")


def test_pairs_made_of_a_frame_that_no_grading_knows(grading):
    stray = make_lot(pairs=0)
    Movement.objects.create(lot=stray, kind="made", pairs=4, reference="F7", person=make_person(), at=timezone.now())
    found(f"lot {stray}", "says 0 pairs, its movements 4")


def test_a_correction_of_no_frame(grading):
    lot = make_lot(pairs=4)
    Movement.objects.create(lot=lot, kind="put right", pairs=-1, person=make_person(), at=timezone.now())
    found(f"lot {lot}", "nobody knows which")


def test_more_wick_ends_sold_than_filled():
    values = {"person": make_person(), "at": timezone.now()}
    WickEnds.objects.create(kind="sold", bags=-2, **values)
    found("wick ends", "more bags went than ever came in (-2)")


def test_a_guard_that_is_missing():
    for table in GUARDED:
        unguard(Editor, table)
    lines = list(breaches())
    assert len(lines) == 2 * len(GUARDED)
    assert all("trigger" in line for line in lines)


def test_the_command_names_the_breach_and_fails(grading):
    Grading.objects.update(remelt=0)
    out = StringIO()
    with pytest.raises(SystemExit) as ended:
        call_command("audit", stdout=out, stderr=StringIO())
    assert ended.value.code == 1
    assert "frame F7: 48 pairs were hung, 45 were counted off" in out.getvalue()


def test_it_asks_as_often_with_one_frame_as_with_thirty(grading):
    def queries():
        with CaptureQueriesContext(connection) as asked:
            assert list(breaches()) == []
        return len(asked)

    few = queries()
    for n in range(30):
        grade(make_frame(grading.frame.candle, state="off", off_at=timezone.now() - timedelta(days=n + 2)), 40, 5)
    assert queries() == few
