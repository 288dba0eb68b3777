"""The races' own house: a contestant that fails fails the race, and says how."""

import pytest

from tests.races.processes import alone, race

pytestmark = pytest.mark.sqlite


@pytest.mark.parametrize(
    ("before", "code", "said"),
    [
        ("", "raise ValueError('on the way')", "on the way"),
        ("raise ValueError('at the start')", "print(1)", "at the start"),
        ("", "import os; os.kill(os.getpid(), 9)", "it was killed"),
    ],
)
def test_who_fails_fails_the_race(file_sqlite, before, code, said):
    with pytest.raises(AssertionError, match=said):
        race(file_sqlite, "print(2)", code, before=before)
    assert alone(file_sqlite, "print(3)") == "3"


def test_each_race_has_its_own_book(file_sqlite):
    made = "from tests.factories import make_candle; make_candle(code='IV250')"
    asked = "from inventory.models import Candle; print(Candle.objects.count())"
    alone(file_sqlite, made)
    assert race(file_sqlite, asked, asked) == ["1", "1"]
