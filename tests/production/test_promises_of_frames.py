"""What frames hang for: kept in step with the wants, and handed to whoever comes to want it."""

from datetime import date

import pytest

from production.domain.own_wants import add_own_want
from production.domain.spare import hang_spare_for
from production.domain.wants import drop_want, keep_want, lock_wants, release_hung
from production.models import Frame, HungFor, Want
from production.queries.on_floor import on_floor_by_candle, on_floor_by_want, promises_by_want
from production.queries.spare import spare_by_candle
from tests.factories import make_candle, make_frame, make_person
from tests.production.test_wants import said

pytestmark = pytest.mark.django_db


@pytest.fixture
def candle():
    return make_candle()


def wanted(candle, pairs=40, **changed):
    return keep_want(want=None, **said(candle, pairs=pairs, **changed))


def promises(want) -> list[tuple[str, int]]:
    return list(HungFor.objects.filter(want=want).order_by("frame_id").values_list("frame__code", "pairs"))


def hung_for() -> list[int]:
    return list(Frame.objects.order_by("pk").values_list("hung_for", flat=True))


def adds_up() -> bool:
    return all(sum(row.promises.values_list("pairs", flat=True)) == row.hung_for for row in Frame.objects.all())


def test_a_want_that_shrinks_lets_the_frame_threaded_last_go_first(candle):
    want = wanted(candle)
    make_frame(candle, state="hanging", wants={want: 24}, code="F1"), make_frame(candle, wants={want: 16}, code="F2")
    keep_want(want=want, **said(candle, pairs=30))
    assert promises(want) == [("F1", 24), ("F2", 6)]
    keep_want(want=want, **said(candle, pairs=20))
    assert promises(want) == [("F1", 20)]
    assert hung_for() == [20, 0]
    assert adds_up()


def test_a_want_that_grows_keeps_what_hangs(candle):
    want = wanted(candle)
    make_frame(candle, wants={want: 24})
    keep_want(want=want, **said(candle, pairs=90))
    assert on_floor_by_want([want.pk]) == {want.pk: 24}


def test_a_want_that_goes_or_turns_to_another_candle_leaves_its_frames_to_the_shelf(candle):
    gone, turned = wanted(candle), wanted(candle)
    make_frame(candle, wants={gone: 20, turned: 10})
    drop_want(gone)
    assert hung_for() == [10]
    keep_want(want=turned, **said(make_candle(), pairs=40))
    assert hung_for() == [0]
    assert not HungFor.objects.exists()


def test_nothing_hangs_and_nothing_is_let_go(candle):
    assert release_hung({wanted(candle).pk: 0}) == 0


def test_wants_lock_the_frames_hung_for_them(candle, django_assert_num_queries):
    want = wanted(candle)
    with django_assert_num_queries(2):
        assert list(lock_wants([want.pk])) == [want.pk]
    make_frame(candle, wants={want: 4})
    with django_assert_num_queries(3):
        assert list(lock_wants([want.pk])) == [want.pk]
    with django_assert_num_queries(0):
        assert lock_wants([]) == {}


def test_nothing_is_asked_again_of_a_locked_want_that_nothing_hangs_for(candle, django_assert_num_queries):
    bare, hung = wanted(candle), wanted(candle)
    make_frame(candle, wants={hung: 20})
    locked = lock_wants([bare.pk, hung.pk])
    with django_assert_num_queries(2):  # what is planned for it, and itself
        drop_want(locked[bare.pk])
    drop_want(locked[hung.pk])
    assert (hung_for(), HungFor.objects.count(), Want.objects.count()) == ([0], 0, 0)


def test_only_living_frames_count(candle):
    want = wanted(candle, pairs=200)
    for state in ("threaded", "hanging", "off", "graded", "scrapped"):
        make_frame(candle, state=state, wants={want: 10})
    assert on_floor_by_want([want.pk]) == {want.pk: 30}
    assert on_floor_by_candle([candle.pk]) == {candle.pk: 30}
    assert promises_by_want([want.pk])[want.pk][0].frame.state == "off"


def test_what_hangs_for_the_shelf_is_hung_for_wants_in_their_turn(candle):
    make_frame(candle, state="hanging", code="F1", dips=9, expected=43)
    make_frame(candle, code="F2", expected=43)
    late, early = wanted(candle, 30, wanted_by=date(2026, 12, 20)), wanted(candle, 30, wanted_by=date(2026, 12, 1))
    assert hang_spare_for([late.pk, early.pk]) == 60
    assert promises(early) == [("F1", 30)]
    assert promises(late) == [("F1", 13), ("F2", 17)]
    assert hang_spare_for([late.pk, early.pk]) == 0
    assert adds_up()
    assert spare_by_candle([candle.pk]) == {candle.pk: [(Frame.objects.get(code="F2"), 26)]}


def test_spare_pairs_add_to_a_promise_there_is(candle):
    want = wanted(candle)
    make_frame(candle, code="F1", wants={want: 10}, expected=43)
    assert hang_spare_for([want.pk]) == 30
    assert promises(want) == [("F1", 40)]


def test_another_candle_and_a_frame_nobody_reckoned_spare_nothing(candle):
    make_frame(make_candle(), expected=43), make_frame(candle, expected=None)
    make_frame(candle, state="graded", expected=43)
    assert hang_spare_for([wanted(candle).pk]) == 0


def test_an_own_want_takes_what_hangs_for_the_shelf(candle):
    make_frame(candle, code="F1", expected=43)
    day = date(2027, 6, 1)
    want = add_own_want(candle=candle, pairs=50, wanted_by=day, by=make_person())
    assert promises(want) == [("F1", 43)]
