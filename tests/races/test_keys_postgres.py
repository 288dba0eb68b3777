"""Locks that leave keys alone, and codes given out by one hand: what PostgreSQL would else break off as a deadlock."""

from datetime import date
from functools import partial

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext

from inventory.domain.lots import open_lot, regrade_pairs
from inventory.models import Candle, Lot
from tests.factories import make_candle, make_lot, make_person
from tests.races.threads import together

pytestmark = [pytest.mark.postgresql, pytest.mark.django_db(transaction=True)]
DAY = date(2026, 11, 20)


def test_every_row_lock_lets_a_foreign_key_be_looked_at():
    with (
        transaction.atomic(),
        CaptureQueriesContext(
            connection,
        ) as asked,
    ):
        list(Candle.objects.select_for_update())
        list(Lot.objects.select_for_update(of=("self",), skip_locked=True).select_related("candle"))
    locks = [one["sql"] for one in asked if "FOR " in one["sql"]]
    assert len(locks) == 2
    assert all("FOR NO KEY UPDATE" in lock for lock in locks)


def test_many_that_open_lots_of_both_grades_in_any_order_never_break_each_other_off():
    by, candle = make_person(), make_candle()
    lots = [make_lot(make_candle(), 24) for _ in range(2)]

    def open_both(grades):
        with transaction.atomic():
            for grade in grades:
                fields = {"fault": "bent"} if grade == "seconds" else {}
                open_lot(
                    candle=candle,
                    grade=grade,
                    made_on=DAY,
                    pairs=3,
                    kind="counted in",
                    reason="found",
                    by=by,
                    **fields,
                )

    def regrade(order):
        with transaction.atomic():
            for lot in order:
                regrade_pairs(lot=lot, pairs=2, fault="bent", reason="seen", by=by)

    acts = [partial(open_both, ["firsts", "seconds"]), partial(open_both, ["seconds", "firsts"])] * 3
    assert together(*acts, partial(regrade, lots), partial(regrade, lots)) == [None] * 8
    assert Lot.objects.count() == 2 + 12 + 4
