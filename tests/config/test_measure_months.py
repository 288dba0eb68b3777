"""Real months as a measure: the rule they are read by, and the way of an invented week through the book."""

import gzip
from datetime import date
from decimal import Decimal

import pytest
from django.utils import timezone

from config.measure import months as group
from config.measure.months_data import Wanted, find_file, read
from config.measure.months_days import Told
from inventory.models import Lot
from orders.models import CreditNote, Invoice, Order, OrderLine, Payment, Return

HEAD = "InvoiceNo,StockCode,Quantity,InvoiceDate,UnitPrice,CustomerID,Country"
WEEK = """
900001,10001,12,2011-05-02 09:00,2.10,1,United Kingdom
900001,10002b,6,2011-05-02 09:00,4.25,1,United Kingdom
900001,10001,3,2011-05-02 09:00,2.10,1,United Kingdom
900001,POST,1,2011-05-02 09:00,18.00,1,United Kingdom
900001,10003,2,2011-05-02 09:00,0.00,1,United Kingdom
900002,10001,24,2011-05-02 10:00,1.95,2,Germany
C900003,10002b,-6,2011-05-02 11:00,4.25,1,United Kingdom
C900004,10009,-1,2011-05-02 11:30,4.25,1,United Kingdom
900005,10001,10,2011-05-03 09:00,2.10,3,United Kingdom
C900006,10001,-4,2011-05-05 09:00,1.95,2,Germany
C900007,10001,-5,2011-05-06 09:00,2.10,1,United Kingdom
900008,10003,7,2011-05-06 09:00,0.35,4,United Kingdom
C900009,10003,-7,2011-05-06 10:00,0.35,4,United Kingdom
900010,10001,2,2011-06-08 10:00,2.10,3,United Kingdom
"""


@pytest.fixture
def week(tmp_path):
    path = tmp_path / "shared" / "data" / "online_retail_dec2010_aug2011.csv.gz"
    path.parent.mkdir(parents=True)
    path.write_bytes(gzip.compress((HEAD + WEEK).encode()))
    return path


def test_rows_become_orders_and_cancellations_find_what_they_take_off(week):
    months = read(week)
    assert [order.number for order in months.orders] == ["900001", "900002", "900005", "900008", "900010"]
    assert months.orders[0].rows[1] == Wanted("10002B", 6, Decimal("4.25"))
    assert [(off.number, off.parts) for off in months.taken_off] == [
        ("C900003", {"900001": {1: 6}}),
        ("C900006", {"900002": {0: 4}}),
        # The newest row first: three of the third row, then two of the first.
        ("C900007", {"900001": {2: 3, 0: 2}}),
        ("C900009", {"900008": {0: 7}}),
    ]
    assert months.left_out.total() == 3
    assert months.usual["10001"] == Decimal("2.10")
    assert [order.number for order in read(week, days=1, every=2).orders] == ["900001"]


def test_the_set_is_looked_for_beside_the_clone(week, tmp_path, settings):
    clone = tmp_path / "clone"
    clone.mkdir()
    assert find_file(clone) == week
    week.unlink()
    settings.BASE_DIR = clone
    (row,) = group.rows(quick=True)
    assert "not beside this clone" in row.note


def test_a_week_goes_all_the_way(week, db, tmp_path):
    rows = {row.name: row.value for row in group.measured(read(week), tmp_path / "none")}
    told = {name: rows[name] for name in ("orders taken", "lines taken", "refused", "breaches", "deliveries")}
    assert told == {"orders taken": 5, "lines taken": 7, "refused": 0, "breaches": 0, "deliveries": 5}
    assert (rows["orders made smaller"], rows["orders cancelled"], rows["returns"]) == (1, 1, 1)
    assert set(Order.objects.values_list("status", flat=True)) == {"done", "cancelled"}
    # What a shop paid that day, whatever most paid.
    assert sorted(set(OrderLine.objects.values_list("price", flat=True))) == [
        Decimal("0.35"), Decimal("1.95"), Decimal("2.10"), Decimal("4.25"),
    ]  # fmt: skip
    abroad = Invoice.objects.filter(treatment="export").values_list("gross", flat=True)
    assert sum(abroad) == 24 * Decimal("1.95") + Decimal("8.50")  # and carriage, once for two deliveries
    assert (CreditNote.objects.count(), Return.objects.count(), Payment.objects.count()) == (2, 1, 2)
    assert sum(Lot.objects.values_list("on_hand", flat=True)) == 6 + 7 + 4
    assert Invoice.objects.order_by("pk").first().paper.issued_on == date(2011, 5, 5)
    assert timezone.localdate() > date(2011, 7, 1)


def test_a_stage_tells_what_its_work_took_each_time_in_its_first_and_its_last_month():
    told = Told()
    for month, orders, sent, seconds in (("2011-05", 4, 4, 0.08), ("2011-06", 2, 6, 0.18)):
        told.orders[month] = told.lines[month] = orders
        told.times[month, "van leaves"], told.seconds[month, "van leaves"] = sent, seconds
    told.times["2011-06", "payments"], told.seconds["2011-06", "payments"] = 1, 0.01
    rows = {row.name: row for row in group.times_of(told)}
    # An order of June cost more than four times one of May; for each went three deliveries, half as dear again.
    assert (rows["2011-06: an order"].value, rows["2011-05: an order"].value) == pytest.approx((95, 20))
    assert rows["2011-06: an order"].note.startswith("2 orders; of each 3.00 deliveries")
    leaves = rows["van leaves: each in 2011-06"]
    assert (leaves.value, leaves.baseline) == pytest.approx((30, 20))
    assert "payments: each in 2011-06" not in rows  # one month is nothing to be held against
