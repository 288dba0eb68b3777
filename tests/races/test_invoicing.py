"""Invoices issued at once: numbers run without a gap, nothing is invoiced twice, carriage is charged once.

Threads on PostgreSQL, where rows are locked; processes on a SQLite file, where one writes at a time.
"""

import json
import sqlite3
from contextlib import closing
from datetime import date
from decimal import Decimal

import pytest

from orders.audit import invoices as audit
from orders.audit import papers as paper_audit
from orders.domain.invoice_draft import AlreadyInvoiced
from orders.domain.invoicing import issue_invoice
from orders.models import Invoice, InvoicedDelivery, Paper
from tests.factories import make_candle, make_order, make_person, make_shop, make_workshop
from tests.factories.sent import make_sent
from tests.races.processes import alone, race
from tests.races.threads import together

MANY = 8
TODAY = date(2026, 11, 25)


def job(shop, *deliveries, by):
    ids = [delivery.pk for delivery in deliveries]
    return lambda: issue_invoice(shop=shop, delivery_ids=ids, issued_on=TODAY, by=by)


def assert_sound():
    running = list(Paper.objects.filter(kind="invoice").order_by("running").values_list("running", flat=True))
    assert running == list(range(1001, 1001 + len(running)))
    assert list(audit.breaches()) == []
    assert list(paper_audit.breaches()) == []


@pytest.mark.postgresql
@pytest.mark.django_db(transaction=True)
def test_eight_invoices_at_once_number_without_a_gap():
    make_workshop()
    by, shops = make_person("bookkeeper"), [make_shop() for _ in range(MANY)]
    deliveries = [make_sent(make_order(shop)) for shop in shops]
    results = together(*(job(shop, one, by=by) for shop, one in zip(shops, deliveries, strict=True)))
    assert all(isinstance(result, Invoice) for result in results), results
    assert Invoice.objects.count() == MANY
    assert_sound()


@pytest.mark.postgresql
@pytest.mark.django_db(transaction=True)
def test_one_delivery_invoiced_eight_times_at_once_is_invoiced_once():
    make_workshop()
    by, shop = make_person("bookkeeper"), make_shop()
    deliveries = [make_sent(make_order(shop)) for _ in range(3)]
    jobs = [job(shop, *deliveries[: 1 + n % 3], by=by) for n in range(MANY)]
    results = together(*jobs)
    won = [result for result in results if isinstance(result, Invoice)]
    assert len(won) == 1, results
    assert all(isinstance(result, AlreadyInvoiced) for result in results if result not in won), results
    assert InvoicedDelivery.objects.filter(delivery=deliveries[0]).count() == 1
    assert_sound()


@pytest.mark.postgresql
@pytest.mark.django_db(transaction=True)
def test_two_deliveries_of_an_order_at_once_carry_its_carriage_once():
    make_workshop()
    by, shop = make_person("bookkeeper"), make_shop(carriage=Decimal("8.50"))
    order = make_order(shop, [(make_candle(), 10)])
    deliveries = [make_sent(order, 5), make_sent(order, 5)]
    results = together(*(job(shop, one, by=by) for one in deliveries))
    assert sorted(result.carriage for result in results) == [Decimal("0.00"), Decimal("8.50")]
    assert_sound()


SEED = """
from tests.factories import make_order, make_person, make_shop, make_workshop
from tests.factories.sent import make_sent
import json
make_workshop()
by, shop = make_person("bookkeeper"), make_shop()
print(json.dumps({"by": by.pk, "shop": shop.pk, "deliveries": [make_sent(make_order(shop)).pk for _ in range(5)]}))
"""
BEFORE = """
from datetime import date
from config.models import Person
from orders.domain.invoice_draft import AlreadyInvoiced
from orders.domain.invoicing import issue_invoice
from orders.models import Shop
"""
ISSUE = """
for delivery in book["deliveries"]:
    try:
        made = issue_invoice(
            shop=Shop.objects.get(pk=book["shop"]), delivery_ids=[delivery], issued_on=date(2026, 11, 25),
            by=Person.objects.get(pk=book["by"]),
        )
        print("issued", made.paper.number)
    except AlreadyInvoiced:
        print("already")
"""


@pytest.mark.sqlite
def test_processes_on_one_sqlite_file_invoice_each_delivery_once(file_sqlite):
    book = json.loads(alone(file_sqlite, SEED))
    answers = race(file_sqlite, *[ISSUE] * 4, before=f"{BEFORE}book = {book}")
    said = [line for answer in answers for line in answer.splitlines()]
    assert sorted(line for line in said if line != "already") == [f"issued INV-{n}" for n in range(1001, 1006)]
    assert said.count("already") == 15
    with closing(sqlite3.connect(file_sqlite.path)) as kept:
        assert kept.execute("SELECT next FROM orders_series WHERE name = 'invoice'").fetchone() == (1006,)
        assert kept.execute("SELECT count(DISTINCT delivery_id) FROM orders_invoiceddelivery").fetchone() == (5,)
