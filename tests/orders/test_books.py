"""The books of a period against its papers; closing it; pages, CSV and workbook."""

import csv
import io
from datetime import date, timedelta
from decimal import Decimal as Dec

import pytest
from django.core.exceptions import ValidationError
from django.db import DatabaseError, transaction
from django.urls import reverse
from openpyxl import load_workbook

from orders.domain.payments import post_payment
from orders.domain.periods import close_period, closed_until, open_period
from orders.models import Paper, PeriodClose
from orders.money import amount_of
from orders.periods import Period, return_of
from orders.queries.books import day_book, receipts, vat_summary
from tests.factories import make_person
from tests.orders.invoices import LEFT, TODAY, issue, make_invoiced_shop, sell

pytestmark = pytest.mark.django_db
YEAR = Period(date(2026, 1, 1), date(2026, 12, 31))


@pytest.fixture
def shop():
    return make_invoiced_shop()


@pytest.fixture
def invoice(shop):
    return issue(shop, sell(shop, 24, 12)[1])


def printed(name: str) -> Dec:
    """The sum of what the papers themselves say."""
    return sum(amount_of(paper.content["totals"][name]) for paper in Paper.objects.filter(kind="invoice"))


def test_day_book_and_vat_add_up_to_what_the_papers_print(shop, invoice):
    issue(shop, sell(shop, 7, price="3.33", vat_class="reduced")[1])
    entries, rows = day_book(YEAR), vat_summary(YEAR)
    for name in ("net", "vat"):
        assert sum(getattr(entry, name) for entry in entries) == printed(name)
        assert sum(getattr(row, name) for row in rows) == printed(name)
    assert sum(entry.gross for entry in entries) == printed("gross")
    assert return_of(rows).box_1 == printed("vat")
    assert [(row.category, row.percent) for row in rows] == [("S", 20), ("S", 5)]


def test_days_outside_hold_nothing(invoice):
    before = Period(date(2025, 1, 1), date(2025, 12, 31))
    assert (day_book(before), vat_summary(before), receipts(before)) == ([], [], [])


def test_an_invoice_issued_when_its_tax_points_period_was_closed_counts_where_it_was_issued(shop):
    """Left on 2 October, invoiced on 25 November: by the 14-day rule its tax point is 2 October."""
    left = date(2026, 10, 2)
    _, delivery = sell(shop, 24, left_on=left)
    close_period(until=date(2026, 10, 31), by=make_person())
    invoice = issue(shop, delivery)
    assert invoice.tax_point == left
    october, november = (Period(date(2026, m, 1), date(2026, m, 28)) for m in (10, 11))
    assert vat_summary(october) == []
    assert sum(row.vat for row in vat_summary(november)) == invoice.vat


def test_nothing_is_dated_into_a_closed_period(shop, invoice):
    by = make_person("bookkeeper")
    close_period(until=date(2026, 11, 20), by=by)
    _, delivery = sell(shop, 24, left_on=LEFT - timedelta(days=3))
    with pytest.raises(ValidationError, match="closed until"):
        issue(shop, delivery, issued_on=LEFT)
    with pytest.raises(ValidationError) as refused:
        post_payment(shop=shop, amount=Dec(5), on=date(2026, 11, 20), how="bank", by=by)
    assert refused.value.message_dict["on"] == [
        "The books are closed until 20 November 2026: nothing is dated before 21 November 2026."
    ]
    assert Paper.objects.filter(kind="invoice").count() == 1
    post_payment(shop=shop, amount=Dec(5), on=date(2026, 11, 21), how="bank", by=by)
    assert [row.signed for row in receipts(YEAR)] == [5]


def test_closing_goes_forward_and_opening_says_why():
    by = make_person()
    first = close_period(until=date(2026, 9, 30), by=by)
    assert close_period(until=date(2026, 9, 30), by=by) == first
    with pytest.raises(ValidationError, match="closed until 30 September 2026 already"):
        close_period(until=date(2026, 8, 31), by=by)
    with pytest.raises(ValidationError, match="yesterday"):
        close_period(until=date(2099, 1, 1), by=by)
    with pytest.raises(ValidationError, match="why"):
        open_period(until=None, reason=" ", by=by)
    open_period(until=date(2026, 8, 31), reason="a note forgotten", by=by)
    assert closed_until() == date(2026, 8, 31)
    open_period(until=None, reason="all of it", by=by)
    assert closed_until() is None
    with pytest.raises(ValidationError, match="No period is closed"):
        open_period(until=None, reason="again", by=by)


def test_a_close_is_never_changed():
    close_period(until=date(2026, 9, 30), by=make_person())
    with pytest.raises(DatabaseError), transaction.atomic():
        PeriodClose.objects.update(until=None)


def test_pages_csv_and_workbook_say_the_same(client_for, invoice):
    client, days = client_for("bookkeeper"), {"first": "2026-11-01", "last": "2026-11-30"}
    page = client.get(reverse("day_book"), days).content.decode()
    assert "1 paper was issued in November 2026" in page
    rows = list(
        csv.DictReader(
            io.StringIO(client.get(reverse("books_csv", args=["day-book"]), days).content.decode("utf-8-sig"))
        )
    )
    assert sum(Dec(row["In all, GBP"]) for row in rows) == invoice.gross
    book = load_workbook(io.BytesIO(client.get(reverse("books_xlsx"), days).content))
    assert book.sheetnames == ["Day book", "VAT on sales", "Receipts"]
    head, line = (list(row) for row in book["Day book"].iter_rows(values_only=True))
    assert Dec(str(line[head.index("VAT")])) == invoice.vat
    assert line[0].date() == TODAY


@pytest.mark.parametrize("name", ["day_book", "vat_summary", "receipts"])
def test_a_period_that_is_none_is_told_beside_the_field(client_for, name):
    client = client_for("bookkeeper")
    answer = client.get(reverse(name), {"first": "2026-11-30", "last": "2026-11-01"})
    assert answer.status_code == 422
    assert "The period ends before it begins." in answer.content.decode()
    assert client.get(reverse(name), {"first": "x", "last": "1e9"}).status_code == 422
    assert client.post(reverse(name)).status_code == 405
    assert client_for("packer").get(reverse(name)).status_code == 403


def test_the_bookkeeper_closes_and_only_the_owner_opens(client_for):
    client = client_for("bookkeeper")
    assert client.post(reverse("periods"), {"until": "2026-09-30"}).status_code == 302
    assert closed_until() == date(2026, 9, 30)
    refused = client.post(reverse("periods"), {"until": "2099-01-01"})
    assert refused.status_code == 422
    assert 'value="2099-01-01"' in refused.content.decode()
    assert client.post(reverse("period_open"), {"reason": "so"}).status_code == 403
    owner = client_for("owner")
    assert owner.post(reverse("period_open"), {"reason": ""}).status_code == 422
    assert owner.get(reverse("period_open")).status_code == 405
    assert owner.post(reverse("period_open"), {"reason": "a note forgotten"}).status_code == 302
    assert closed_until() is None


def test_many_papers_ask_no_more(shop, invoice, django_assert_num_queries):
    with django_assert_num_queries(3):
        day_book(YEAR)
    for _ in range(4):
        issue(shop, sell(shop, 7)[1])
    with django_assert_num_queries(3):
        assert len(day_book(YEAR)) == 5
