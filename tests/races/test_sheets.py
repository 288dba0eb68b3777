"""The same stock sheet loaded by several hands at once is counted in once."""

from functools import partial

import pytest
from django.core.exceptions import ValidationError

from inventory.domain.sheets import load_file, load_sheet, take_in_sheet
from inventory.models import Lot, SheetFile
from orders.domain.sheets import KINDS
from tests.factories import make_candle, make_person
from tests.factories.sheets import make_csv
from tests.races.threads import together

pytestmark = pytest.mark.django_db(transaction=True)
HANDS = 4


def test_one_kept_file_pressed_by_several_hands_is_loaded_once():
    make_candle(code="IV250")
    kind, data, by = KINDS["stock"], make_csv("Code,Pairs", "IV250,24"), make_person()
    file = take_in_sheet(kind=kind, data=data, name="stock.csv", by=by)
    results = together(*[partial(load_file, kind=kind, file=file, by=by)] * HANDS)
    assert not [result for result in results if isinstance(result, Exception)]
    assert sum(result is not None for result in results) == 1
    assert Lot.objects.get().on_hand == 24


def test_several_copies_of_one_file_are_loaded_once():
    make_candle(code="IV250")
    data = make_csv("Code,Pairs", "IV250,24")
    acts = [
        partial(load_sheet, kind=KINDS["stock"], data=data, name=f"{n}.csv", by=make_person()) for n in range(HANDS)
    ]
    results = together(*acts)
    refused = [result for result in results if isinstance(result, ValidationError)]
    assert len(refused) == HANDS - 1, results
    assert Lot.objects.get().on_hand == 24
    assert SheetFile.objects.count() == 1
