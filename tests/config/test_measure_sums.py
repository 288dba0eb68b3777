"""The measures of entry, confirming, setting aside, papers and the demo run, each on a throw-away book of its own."""

from datetime import date

import pytest

from config.measure import GROUPS, busy_book
from config.measure.book import made_book
from config.measure.papers import CELL, bare_document
from config.measure.setting_aside import most_pairs
from inventory.models import Candle
from orders import audit
from orders.domain.setting_aside import set_aside_order
from tests.factories import make_candle, make_lot, make_person
from tests.factories.trade import make_order

pytestmark = [pytest.mark.django_db, pytest.mark.sqlite]


@pytest.mark.parametrize("name", ["entry", "confirm", "setting_aside", "papers", "demo"])
def test_it_runs_quickly_and_leaves_the_book_alone(name):
    rows = list(GROUPS[name](quick=True))
    assert rows
    assert all(row.value is not None and row.aim is not None for row in rows)
    if name == "setting_aside":
        assert [row.value for row in rows if "maximum flow" in row.name] == [0, 0]
    assert not Candle.objects.exists()


def test_the_busy_book_holds_what_was_asked_and_the_audit_finds_nothing():
    with made_book():
        book = busy_book.make_busy(complete_only=True)
        orders = busy_book.take_orders(book, 45, lots=9)
        assert [order.lines.count() for order in orders] == [20, 20, 5]
        assert list(audit.breaches()) == []


def test_the_maximum_flow_is_of_candles_and_grades():
    by, ivory, red = make_person(), make_candle(), make_candle()
    for candle, pairs, grade in ((ivory, 10, "firsts"), (ivory, 50, "seconds"), (red, 30, "firsts")):
        make_lot(
            candle, pairs, by=by, grade=grade, fault="bent" if grade == "seconds" else "", made_on=date(2026, 11, 2)
        )
    make_order(lines=[(ivory, 24), (red, 12)], by=by)
    make_order(lines=[(red, 24)], by=by)
    second = make_order(lines=[(ivory, 6)], by=by, grade="seconds")
    assert most_pairs() == 10 + 30 + 6
    set_aside_order(order=second, by=by)
    assert most_pairs() == 10 + 30


def test_a_bare_document_has_every_cell_with_its_text():
    page = "<table><tr><th>Lot</th><td class=x>F-1 <b>&amp; 2</b></td></tr><tr><td></td></tr></table><p>no cell</p>"
    assert CELL.findall(bare_document(page)) == ["Lot", "F-1 &amp; 2", ""]
