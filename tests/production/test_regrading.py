"""A wrong grading put right: lots change by movements, and only where the pairs are still there."""

import pytest
from django.core.exceptions import ValidationError

from inventory.domain.lots import hold_pairs, lock_lots
from inventory.domain.versions import StaleVersion
from inventory.models import Lot, Movement, Record
from orders.domain.setting_aside import set_aside_order
from production.audit import breaches
from production.domain.grading import counted_off
from production.domain.regrading import correct_grading
from production.models import Grading
from production.queries.grading import frame_of_lot
from tests.factories import make_candle, make_person
from tests.factories.floor import make_frame
from tests.orders.grading import grade, hang, held, want_of, wanted
from tests.recount import recount

pytestmark = pytest.mark.django_db


@pytest.fixture
def grading():
    """40 firsts, 5 with bubbles, 3 for remelt, of 48; they hung for the shelf."""
    return grade(make_frame(state="off"), 40, 5)


def correct(grading, firsts=40, seconds=None, remelt=3, **fields):
    values = {"version": grading.version, "reason": "a bar was counted twice", "by": make_person(), **fields}
    seconds = {"bubbles": 5} if seconds is None else seconds
    return correct_grading(grading=grading, firsts=firsts, seconds=seconds, remelt=remelt, **values)


def sound():
    assert list(breaches()) == []
    recount()


def test_numbers_move_between_the_lots(grading):
    changed = correct(grading, firsts=37, seconds={"bubbles": 4, "bent": 4})
    assert changed.version == 2
    assert counted_off(Grading.objects.get()).in_words() == "37 firsts, 8 seconds (4 bent, 4 bubbles), 3 for remelt"
    assert list(Lot.objects.order_by("pk").values_list("fault", "on_hand")) == [("", 37), ("bubbles", 4), ("bent", 4)]
    put_right = Movement.objects.filter(kind="put right")
    assert set(put_right.values_list("pairs", "reference")) == {(-3, grading.frame.code), (-1, grading.frame.code)}
    assert "before, 40 firsts" in Record.objects.filter(subject="frame").latest("pk").what
    sound()


def test_a_fault_may_go_and_its_lot_still_leads_back(grading):
    emptied = grading.faults.get().lot
    correct(grading, firsts=45, seconds={})
    assert not grading.faults.exists()
    assert Lot.objects.get(pk=emptied.pk).on_hand == 0
    assert frame_of_lot(emptied) == grading.frame
    sound()
    correct(Grading.objects.get(), firsts=43, seconds={"bubbles": 2})
    sound()


def test_firsts_may_turn_up_where_there_were_none():
    grading = grade(make_frame(state="off"), 0, 45)
    correct(grading, firsts=45, seconds={})
    assert Grading.objects.get().lot.on_hand == 45
    sound()


def test_all_firsts_may_go(grading):
    correct(grading, firsts=0, seconds={"bubbles": 45})
    assert Lot.objects.get(grade="firsts").on_hand == 0
    sound()


def test_pairs_set_aside_or_gone_cannot_be_taken_back(grading):
    lot = lock_lots([grading.lot_id])[grading.lot_id]
    hold_pairs([(lot, 38)])
    with pytest.raises(ValidationError) as refusal:
        correct(grading, firsts=37, seconds={"bubbles": 8})
    assert refusal.value.message_dict == {"firsts": [f"{lot} has 40 pairs, 38 set aside: at most 2 can go."]}
    assert counted_off(Grading.objects.get()).firsts == 40
    assert Lot.objects.get(grade="seconds").on_hand == 5


@pytest.mark.parametrize(
    ("numbers", "why"),
    [
        ({"firsts": 41}, "1 too many"),
        ({"firsts": 39}, "1 is missing"),
        ({"firsts": 41, "remelt": 2, "reason": " "}, "Say why the first count was wrong."),
        ({"firsts": 41, "remelt": 2, "reason": "x" * 121}, "At most 120 characters."),
    ],
)
def test_what_does_not_fit_is_refused(grading, numbers, why):
    with pytest.raises(ValidationError, match=why):
        correct(grading, **numbers)
    assert not Movement.objects.filter(kind="put right").exists()


def test_the_same_count_again_changes_nothing_and_a_stale_one_is_told(grading):
    correct(grading, firsts=41, remelt=2)
    correct(grading, firsts=41, remelt=2)
    assert Movement.objects.filter(kind="put right").count() == 1
    with pytest.raises(StaleVersion):
        correct(grading, firsts=42, remelt=1)
    sound()


def test_firsts_that_turn_up_go_to_who_came_short():
    candle = make_candle()
    order = wanted((candle, 40))
    grading = grade(hang(candle, {order: 40}), 34, 14)
    assert (held(order), want_of(order).pairs) == ([34], 6)
    correct(grading, firsts=44, seconds={"bubbles": 4}, remelt=0)
    assert held(order) == [40]
    assert Grading.objects.get().promised[0]["got"] == 40
    assert Lot.objects.get(grade="firsts").free == 4
    sound()


def test_who_was_served_from_the_shelf_meanwhile_gets_nothing_twice():
    candle = make_candle()
    order = wanted((candle, 40))
    grading = grade(hang(candle, {order: 40}), 34, 14)
    grade(make_frame(candle, state="off"), 48)
    set_aside_order(order=order, by=make_person())
    correct(grading, firsts=44, seconds={"bubbles": 4}, remelt=0)
    assert held(order) == [40]
    sound()
