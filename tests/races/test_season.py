"""The make-ahead list put on the dip list by several at once is put there once; so are rows from before the book."""

import uuid
from datetime import date
from functools import partial

import pytest
from django.core.exceptions import ValidationError

from orders.domain.season import Before, put_booked_before, want_ahead
from orders.models import BookedBefore
from orders.queries.season_floor import list_seen, wanted_ahead
from production.models import Want
from tests.factories import make_candle, make_person, make_shop
from tests.factories.seasons import make_booked_before
from tests.factories.trade import make_van_days
from tests.production.plan_floor import make_plan_floor
from tests.production.standing_plan import stop_the_clock
from tests.races.threads import together

pytestmark = pytest.mark.django_db(transaction=True)
HANDS = 5


def test_the_make_ahead_list_is_put_there_once(monkeypatch):
    stop_the_clock(monkeypatch)
    make_van_days(1, 3)
    floor = make_plan_floor(wants=False)
    for n in range(10):
        make_booked_before(make_shop(address=False), floor.taper, 100, date(2025, 12, 1 + n), made_by=floor.by)
    rows = wanted_ahead()
    results = together(*[partial(want_ahead, seen=list_seen(rows), by=floor.by)] * HANDS)
    assert sum(isinstance(result, ValidationError) for result in results) == HANDS - 1
    assert [result for result in results if isinstance(result, int)] == [sum(row.frames for row in rows)]
    assert sum(Want.objects.values_list("pairs", flat=True)) == sum(row.pairs for row in rows) > 0


def test_rows_pasted_many_times_at_once_are_in_once():
    row = Before(make_shop(), make_candle(), date(2025, 11, 3), date(2025, 11, 12), 48)
    act = partial(put_booked_before, rows=[row], submission=uuid.uuid4(), by=make_person("owner"))
    assert together(*[act] * HANDS) == [1] * HANDS
    assert BookedBefore.objects.get().pairs == 48
