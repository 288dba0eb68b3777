"""Lots opened at the same moment get codes of their own; a form sent twice at once moves its pairs once."""

import uuid
from datetime import date
from functools import partial

import pytest

from inventory.domain.lots import adjust_lot, open_lot, regrade_pairs
from inventory.models import Lot, Movement
from tests.factories import make_candle, make_lot, make_person
from tests.races.threads import together

pytestmark = pytest.mark.django_db(transaction=True)
HANDS = 6


def opening(candle, by, submission=None):
    fields = {"grade": "firsts", "made_on": date(2026, 11, 20), "pairs": 24, "kind": "counted in", "reason": "found"}
    return partial(open_lot, candle=candle, by=by, submission=submission, **fields)


def test_lots_opened_at_once_get_codes_of_their_own():
    by = make_person()
    lots = together(*[opening(make_candle(), by) for _ in range(HANDS)])
    assert sorted(lot.code for lot in lots) == [f"F26-1120-{n:02d}" for n in range(1, HANDS + 1)]


def test_a_form_sent_many_times_at_once_makes_one_lot():
    act = opening(make_candle(), make_person(), uuid.uuid4())
    lots = together(*[act] * HANDS)
    assert {lot.pk for lot in lots} == {Lot.objects.get().pk}
    assert Movement.objects.get().pairs == 24


def test_an_adjustment_and_a_regrading_sent_many_times_at_once_happen_once():
    by, lot = make_person(), make_lot(pairs=24)
    common = {"lot": lot, "reason": "seen", "by": by}
    adjusting = partial(adjust_lot, kind="damaged", pairs=4, submission=uuid.uuid4(), **common)
    regrading = partial(regrade_pairs, pairs=5, fault="bent", submission=uuid.uuid4(), **common)
    results = together(*[adjusting, regrading] * 3)
    assert not [result for result in results if isinstance(result, Exception)]
    assert Lot.objects.get(pk=lot.pk).on_hand == 15
    assert Lot.objects.count() == 2
