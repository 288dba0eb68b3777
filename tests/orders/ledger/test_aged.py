from datetime import date, timedelta
from decimal import Decimal

import pytest

from orders.aged import Aged, age_of, aged, debt_sentence, next_step

TODAY = date(2026, 11, 25)


@pytest.mark.parametrize(
    ("late", "age"),
    [(-5, "current"), (0, "current"), (1, "days_30"), (30, "days_30"), (31, "days_60"), (60, "days_60"),
     (61, "days_90"), (90, "days_90"), (91, "older"), (4000, "older")],
)  # fmt: skip
def test_the_edges_of_each_age(late, age):
    assert age_of(TODAY - timedelta(days=late), TODAY) == age


def test_debts_are_added_up_by_age():
    rows = [(TODAY, "10.00"), (TODAY - timedelta(days=3), "20.00"), (TODAY - timedelta(days=99), "5.50")]
    found = aged([(day, Decimal(amount)) for day, amount in rows], TODAY, Decimal("7.00"))
    assert (found.current, found.days_30, found.older) == (Decimal("10.00"), Decimal("20.00"), Decimal("5.50"))
    assert (found.late, found.owed) == (Decimal("25.50"), Decimal("28.50"))
    assert (found + found).owed == Decimal("57.00")


def step(late="0", current="0", account="0", *, days=10, reminded=None, reminders=0):
    found = Aged(current=Decimal(current), days_30=Decimal(late), on_account=Decimal(account))
    oldest = TODAY - timedelta(days=days) if Decimal(late) else None
    day = TODAY - timedelta(days=reminded) if reminded is not None else None
    return next_step(found, oldest=oldest, reminded=day, reminders=reminders, today=TODAY)


def test_what_to_do_next():
    assert step(current="5") == "All in time."
    assert step() == ""
    assert step(account="5") == "We owe them: pay it back, or leave it for their next invoice."
    assert step(late="5", account="5") == "Set what lies on account against it."
    assert step(late="5") == "Send a reminder."
    assert step(late="5", reminded=6, reminders=1) == "Wait: reminded on 19 November 2026."
    assert step(late="5", reminded=7, reminders=1) == "Telephone, then send a second reminder."
    assert step(late="5", reminded=9, reminders=2) == "Send a last reminder."
    assert step(late="5", reminded=9, reminders=2, days=61) == "Put them on stop; interest may be charged."


def test_the_first_line_of_the_debts():
    total = Aged(current=Decimal("100"), days_60=Decimal("20.50"))
    assert debt_sentence(0, Aged(), oldest=None, whose="") == "Nobody owes anything."
    assert debt_sentence(2, total, oldest=date(2026, 10, 2), whose="Fern & Flint") == (
        "2 shops owe 120.50; 20.50 of it is late, the oldest since 2 October 2026 (Fern & Flint)."
    )
    assert debt_sentence(1, Aged(current=Decimal("9")), oldest=None, whose="", currency="EUR") == (
        "1 shop owes 9.00 EUR, none of it late."
    )
