"""What a book of many years costs: no step of the day's work reads a table whole that only ever grows."""

import re
import uuid
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from orders.domain.changing import cancel_order
from orders.domain.credit_draft import Asked, Take
from orders.domain.crediting import issue_credit
from orders.domain.invoicing import issue_invoice
from orders.domain.ordering import Row, confirm_order, save_draft, start_draft
from orders.domain.packing import close_boxes, start_packing, van_left
from orders.domain.payments import post_payment
from orders.domain.returns import Back, take_back
from orders.domain.setting_aside import set_aside_order
from orders.models import Delivery, PaymentPart
from orders.queries.credit import owed_by
from orders.queries.debts import open_papers
from orders.queries.packing import papers_of_order
from tests.factories import make_candle, make_lot, make_person, make_van_days
from tests.factories.bench import make_bench
from tests.orders.invoices import make_invoiced_shop

pytestmark = [pytest.mark.django_db, pytest.mark.sqlite]
# What orders, their stock, papers and money add to, year after year. Not here: what is open, and what is set up.
GROWING = {
    "inventory_lot", "inventory_movement", "inventory_record",
    "orders_order", "orders_orderline", "orders_delivery", "orders_deliveryline", "orders_box", "orders_boxcontent",
    "orders_paper", "orders_invoice", "orders_invoiceline", "orders_invoicevat", "orders_invoiceddelivery",
    "orders_creditnote", "orders_creditnoteline", "orders_return", "orders_returnline", "orders_payment",
    "orders_paymentpart",
}  # fmt: skip


@pytest.fixture
def by():
    return make_person("owner")


@pytest.fixture
def shop():
    make_bench()
    make_van_days(*range(7))
    shop = make_invoiced_shop()
    shop.credit_limit = Decimal(5000)
    shop.save()
    return shop


@pytest.fixture
def does():
    """Calls what it is given, and notes down what of it reads a growing table from end to end."""

    def do(act, *args, **kwargs):
        with CaptureQueriesContext(connection) as asked:
            given = act(*args, **kwargs)
        for statement in dict.fromkeys(query["sql"] for query in asked):
            do.found += [f"{act.__name__}: {step}: {statement}" for step in _read_whole(statement)]
        return given

    do.found = []
    return do


def _read_whole(statement: str) -> list[str]:
    if not statement.startswith(("SELECT", "UPDATE", "DELETE")):
        return []
    called = {alias: table for table, alias in re.findall(r'"(\w+)" ([A-Z]\d+)\b', statement)}
    with connection.cursor() as cursor:
        cursor.execute(f"EXPLAIN QUERY PLAN {statement}")
        steps = [row[-1].split() for row in cursor.fetchall()]
    read = [step for step in steps if step[0] == "SCAN" and len(step) > 1]
    return [" ".join(step) for step in read if called.get(step[1], step[1]) in GROWING]


def taken(does, shop, by, *pairs):
    """An order of so many pairs a line, each of a candle of its own in stock: taken, confirmed and set aside."""
    rows = [Row(make_lot(make_candle(trade_price=Decimal("4.75")), count, by=by).candle, count) for count in pairs]
    order = does(start_draft, shop=shop, submission=uuid.uuid4(), by=by)
    header = {"ship_by": timezone.localdate(), "deliver_to": shop.addresses.get()}
    order = does(save_draft, order=order, version=order.version, header=header, rows=rows, by=by)
    order = does(confirm_order, order=order, version=order.version, by=by)
    does(set_aside_order, order=order, by=by)
    order.refresh_from_db()
    return order


def test_from_the_order_to_the_credit_note_nothing_is_looked_for_from_end_to_end(does, shop, by):
    today = timezone.localdate()
    order, other = taken(does, shop, by, 24, 12), taken(does, shop, by, 6)
    does(cancel_order, order=other, version=other.version, reason="Called off", by=by)
    delivery = does(start_packing, order=order, van_day=today, by=by)
    delivery = does(close_boxes, delivery=delivery, version=delivery.version, by=by)
    delivery = does(van_left, delivery=delivery, version=delivery.version, on=today, by=by)
    invoice = does(issue_invoice, shop=shop, delivery_ids=[delivery.pk], issued_on=today, by=by)
    parts = {paper.key: paper.open for paper in does(open_papers, [shop.pk])}
    does(post_payment, shop=shop, amount=invoice.gross, on=today, how="bank", parts=parts, by=by)
    line = invoice.lines.first()
    asked = Asked(why="broken", reason="Broken in the box", set_off_on=today, takes=(Take(line.pk, 2),))
    does(issue_credit, invoice=invoice, asked=asked, issued_on=today, by=by)
    backs = [Back(delivery.lines.last().pk, firsts=3)]
    does(take_back, delivery=delivery, backs=backs, reason="Too many", came_on=today, submission=uuid.uuid4(), by=by)
    papers = does(papers_of_order, order, invoices=True)
    assert [paper.kind for paper in papers if "slip" not in paper.kind] == [
        "delivery note", "invoice", "credit note", "credit note",
    ]  # fmt: skip
    assert does.found == []


def test_what_is_open_is_added_up_from_the_index_of_the_parts(shop):
    """Not from their rows: a shop's parts of ten years lie scattered over the table."""
    with CaptureQueriesContext(connection) as asked:
        owed_by([shop.pk])
    steps = []
    for query in asked:
        if PaymentPart._meta.db_table in query["sql"]:
            with connection.cursor() as cursor:
                cursor.execute(f"EXPLAIN QUERY PLAN {query['sql']}")
                steps += [row[-1] for row in cursor.fetchall()]
    by_index = [step for step in steps if "COVERING INDEX part_of_" in step]
    assert {step.split("INDEX ")[1].split()[0] for step in by_index} == {"part_of_invoice", "part_of_payment"}, steps


def test_a_table_read_from_end_to_end_would_be_noticed(does):
    def read_whole():
        return list(Delivery.objects.filter(state="left"))

    does(read_whole)
    assert [found.split(": SELECT")[0] for found in does.found] == ["read_whole: SCAN orders_delivery"]
