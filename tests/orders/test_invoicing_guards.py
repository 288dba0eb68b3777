from datetime import date

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from inventory.models import Record, Workshop
from orders.domain.invoice_draft import AlreadyInvoiced, draft_invoice
from orders.domain.invoicing import figures_of, issue_invoice
from orders.domain.papers import paper_pdf
from orders.models import Invoice, InvoicedDelivery, Paper, PaperFile, Series, VatRate
from tests.factories import make_order, make_person, make_shop
from tests.factories.sent import make_sent
from tests.orders.invoices import TODAY, issue, make_invoiced_shop, refusal, sell

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop():
    return make_invoiced_shop()


def test_what_was_invoiced_cannot_be_invoiced_again(shop):
    _, one = sell(shop, 24)
    _, two = sell(shop, 24)
    invoice = issue(shop, one)
    with pytest.raises(AlreadyInvoiced, match=r"DN-1001 on INV-1001") as refused:
        issue(shop, one, two)
    assert refused.value.same is None
    with pytest.raises(AlreadyInvoiced) as refused:
        issue(shop, one)
    assert refused.value.same == invoice
    with pytest.raises(IntegrityError), transaction.atomic():
        InvoicedDelivery.objects.create(invoice=invoice, delivery=one)
    assert Invoice.objects.count() == 1


def test_a_refused_invoice_gives_its_number_back(shop, monkeypatch):
    _, delivery = sell(shop, 24)
    monkeypatch.setattr("orders.domain.invoicing._put_down", lambda *args: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        issue(shop, delivery)
    assert Series.objects.get(name="invoice").next == 1001
    assert not Paper.objects.filter(kind="invoice").exists()
    monkeypatch.undo()
    assert issue(shop, delivery).paper.number == "INV-1001"


@pytest.mark.parametrize("state", ["packing", "packed", "unpacked"])
def test_only_what_has_left_is_invoiced(shop, state):
    _, delivery = sell(shop, 24)
    type(delivery).objects.filter(pk=delivery.pk).update(state=state)
    assert "has not left" in refusal(shop, delivery)


def test_refuses_nothing_anothers_unknown_and_the_future(shop):
    _, delivery = sell(shop, 24)
    _, others = sell(make_shop(), 24)
    assert "at least one" in refusal(shop)
    assert "not one of" in refusal(shop, delivery, others)
    with pytest.raises(ValidationError, match="not one of"):
        issue_invoice(shop=shop, delivery_ids=[delivery.pk, 10**9], issued_on=TODAY, by=make_person())
    assert "left on 20 November 2026, after" in refusal(shop, delivery, issued_on=date(2026, 11, 19))


def test_tax_points_that_differ_cannot_share_an_invoice(shop):
    early, late = sell(shop, 24, left_on=date(2026, 11, 1))
    _, fresh = sell(shop, 24)
    assert f"order {early.number} has a tax point of its own" in refusal(shop, late, fresh)
    assert issue(shop, late).tax_point == date(2026, 11, 1)


def test_refuses_without_workshop_address_or_rate(shop):
    _, delivery = sell(shop, 24)
    VatRate.objects.all().delete()
    assert "no VAT rate of class standard" in refusal(shop, delivery)
    bare = make_shop(address=False)
    order = make_order(bare)
    assert "no address" in refusal(bare, make_sent(order))
    Workshop.objects.all().delete()
    assert "no workshop" in refusal(shop, delivery)


def test_an_amount_that_would_not_fit_is_refused_and_nothing_is_written(shop):
    _, delivery = sell(shop, 100_000, price="999.00")
    _, more = sell(shop, 100_000, price="999.00")
    assert "at most 99,999,999.99" in refusal(shop, delivery, more)
    assert Series.objects.get(name="invoice").next == 1001


def test_what_was_seen_is_what_is_issued(shop):
    _, delivery = sell(shop, 24)
    seen = figures_of(draft_invoice(shop=shop, delivery_ids=[delivery.pk], issued_on=TODAY))
    Workshop.objects.update(vat_rounding="down")
    assert "figures changed" in refusal(shop, delivery, seen=seen)
    seen = figures_of(draft_invoice(shop=shop, delivery_ids=[delivery.pk], issued_on=TODAY))
    assert issue(shop, delivery, seen=seen).vat_rounding == "down"


def test_an_issued_invoice_never_changes(shop):
    _, delivery = sell(shop, 24)
    invoice = issue(shop, delivery)
    for row in (invoice, invoice.paper, invoice.lines.first(), invoice.vat_rows.first(), invoice.deliveries.first()):
        table = type(row).objects.filter(pk=row.pk)
        with pytest.raises(IntegrityError), transaction.atomic():
            table.update(id=row.pk)
        with pytest.raises(IntegrityError), transaction.atomic():
            table._raw_delete(table.db)


@pytest.mark.parametrize(
    "wrong", [{"net": "170.96"}, {"gross": "205.15"}], ids=["net is goods and carriage", "gross is net and VAT"]
)
def test_the_database_refuses_totals_that_do_not_add_up(shop, wrong):
    _, delivery = sell(shop, 24)
    paper = issue(shop, delivery).paper
    values = {"goods": "162.45", "carriage": "8.50", "net": "170.95", "vat": "34.19", "gross": "205.14", **wrong}
    other = Paper.objects.create(
        kind="invoice",
        number="X",
        shop=shop,
        content={},
        issued_on=TODAY,
        issued_at=paper.issued_at,
        issued_by=paper.issued_by,
    )
    with pytest.raises(IntegrityError), transaction.atomic():
        Invoice.objects.create(paper=other, shop=shop, tax_point=TODAY, due_on=TODAY, vat_rounding="down", **values)


def test_it_is_on_record_with_all_it_touches(shop):
    order, delivery = sell(shop, 24)
    by = make_person("bookkeeper")
    invoice = issue(shop, delivery, by=by)
    subjects = {("invoice", invoice.pk), ("shop", shop.pk), ("order", order.pk), ("delivery", delivery.pk)}
    rows = Record.objects.filter(person=by)
    assert {(row.subject, row.subject_id) for row in rows} == subjects
    assert rows.get(subject="invoice").what == "INV-1001 issued: 140.16 GBP for DN-1001"


def test_the_pdf_is_kept_with_its_digest_and_served_again(shop):
    _, delivery = sell(shop, 24)
    paper = issue(shop, delivery).paper
    pdf = paper_pdf(paper)
    assert pdf.startswith(b"%PDF")
    Workshop.objects.update(name="Another Name")
    assert paper_pdf(paper) == pdf
    assert len(PaperFile.objects.get(paper=paper).sha256) == 64
