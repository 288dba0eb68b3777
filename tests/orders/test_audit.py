"""Each breach of promises, deliveries, papers and invoices is planted behind the ORM's back; the audit names it."""

from decimal import Decimal
from io import StringIO

import pytest
from django.core.management import call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from inventory.models import Lot, Movement
from inventory.triggers import unguard
from orders.audit import breaches
from orders.domain.papers import paper_pdf
from orders.models import (
    BoxContent,
    Delivery,
    DeliveryLine,
    Invoice,
    InvoiceLine,
    InvoiceVat,
    Order,
    OrderLine,
    Paper,
    PaperCancellation,
    PaperFile,
    Series,
    SetAside,
)
from production.models import Want
from tests.factories import make_candle, make_lot, make_order
from tests.factories.season import make_season, ship_and_invoice
from tests.inventory.test_audit import Editor, behind  # noqa: F401 - a fixture

pytestmark = pytest.mark.django_db


@pytest.fixture
def season():
    return make_season()


def found(*words):
    """Some breach holds all the words. Lines about guards and constraints a test took away itself do not count."""
    lines = [line for line in breaches() if "trigger" not in line and "constraint" not in line]
    assert any(all(str(word) in line for word in words) for line in lines), lines


def change(model, pk, **fields):
    """Past every guard: the append-only triggers of the table are taken off first."""
    unguard(Editor, model._meta.db_table)
    assert model.objects.filter(pk=pk).update(**fields) == 1


def line_of(order) -> OrderLine:
    return order.lines.get()


def test_silent_after_a_season(season):
    paper_pdf(season.invoice.paper)
    assert list(breaches()) == []


def test_lot_counter_against_promises(season):
    Lot.objects.filter(pk=season.lot.pk).update(set_aside=30)
    found("lot L-1", "says 30", "add up to 36")


def test_line_counter_against_promises(season):
    OrderLine.objects.filter(pk=line_of(season.short).pk).update(set_aside=11)
    found(f"order {season.short.number} line 1", "says 11", "add up to 12")


def test_line_with_more_than_was_ordered(season, behind):  # noqa: F811
    behind(OrderLine, "line_cover_within_pairs")
    OrderLine.objects.filter(pk=line_of(season.sent).pk).update(pairs=20)
    found(f"order {season.sent.number} line 1", "more than the 20 pairs ordered")


def test_second_in_a_firsts_line(season):
    Lot.objects.filter(pk=season.lot.pk).update(grade="seconds", fault="bent")
    found(f"order {season.short.number}", "seconds of lot L-1", "for an order of firsts")
    found("delivery DN-", "lot L-1 is seconds")


def test_lot_of_another_candle(season):
    Lot.objects.filter(pk=season.lot.pk).update(candle=make_candle(code="RD250"))
    found(f"order {season.short.number}", "L-1 holds RD250", "wants IV250")
    found("delivery DN-", "does not hold IV250")


def test_cancelled_order_that_holds_pairs(season):
    Order.objects.filter(pk=season.short.pk).update(status="cancelled")
    found(f"order {season.short.number} is cancelled", "12 pairs")


def test_done_order_that_is_not(season):
    Order.objects.filter(pk=season.packed.pk).update(status="done")
    found(f"order {season.packed.number} is done", "0 of 24")


def test_sent_order_that_is_not_done(season):
    Order.objects.filter(pk=season.sent.pk).update(status="confirmed")
    found(f"order {season.sent.number} has everything sent")


def test_open_pairs_missing_from_the_dip_list(season):
    OrderLine.objects.update(want=None)
    Want.objects.all().delete()
    found(f"order {season.short.number} line 1", "12 open pairs are not on the dip list")


def test_want_of_other_pairs(season):
    Want.objects.update(pairs=13)
    found(f"order {season.short.number} line 1", "12 pairs are open", "wants 13")


def test_want_of_another_candle(season):
    Want.objects.update(candle=make_candle())
    found(f"order {season.short.number} line 1", "another candle")


def test_want_that_belongs_to_no_line(season):
    OrderLine.objects.update(want=None)
    found("belongs to no order line")


def test_boxes_that_hold_less(season):
    BoxContent.objects.filter(box__delivery=season.waiting).update(pairs=20)
    found(season.waiting.note.number, "24 pairs of lot L-1", "hold 20")


def test_sent_that_no_delivery_took(season):
    OrderLine.objects.filter(pk=line_of(season.sent).pk).update(sent=23)
    found(f"order {season.sent.number} line 1", "sent says 23", "24")


def test_packed_mark_without_a_delivery(season):
    SetAside.objects.filter(line=line_of(season.short)).update(packed=5)
    found(f"order {season.short.number}", "5 pairs of lot L-1 are marked packed", "0 lie")


def test_delivery_that_left_and_moved_nothing(season):
    DeliveryLine.objects.filter(delivery=season.gone).update(movement=None)
    found(season.gone.note.number, "moved no stock")
    found("lot L-1: 24 pairs were sent without a delivery")


def test_movement_of_other_pairs(season):
    movement = Movement.objects.get(kind="sent")
    change(Movement, movement.pk, pairs=-23)
    found(season.gone.note.number, "24 pairs of lot L-1", "-23")


def test_line_of_another_order_in_a_delivery(season):
    DeliveryLine.objects.filter(delivery=season.waiting).update(line=line_of(season.short))
    found(season.waiting.note.number, "a line of another order")


def test_packed_delivery_without_its_note(season, behind):  # noqa: F811
    behind(Delivery, "delivery_packed_has_note")
    Delivery.objects.filter(pk=season.waiting.pk).update(note=None)
    found(f"delivery {season.waiting.pk} is packed but has no note")
    found(f"note {season.waiting.note.number} belongs to no delivery")


@pytest.mark.parametrize("value", ["pay when you like", 1.5])
def test_content_changed_after_issue(season, value):
    paper = season.invoice.paper
    change(Paper, paper.pk, content={**paper.content, "terms": value})
    found(f"paper {paper.number}", "content does not fit its digest")


def test_pdf_changed_after_it_was_stored(season):
    paper_pdf(season.invoice.paper)
    change(PaperFile, season.invoice.paper.file.pk, pdf=b"%PDF-1.7 another")
    found(season.invoice.paper.number, "stored PDF does not fit its digest")


def test_gap_in_the_numbers(season):
    Series.objects.filter(name="invoice").update(next=1005)
    found("invoice numbers", "1001", "1005")
    change(Paper, season.gone.note.pk, running=999)
    found("delivery note numbers: 1000 to 1001 missing")


def test_order_number_that_would_come_again(season):
    Series.objects.filter(name="order").update(next=season.short.number)
    found(f"order {season.short.number}", "again")


def test_cancelled_note_of_a_delivery_that_stands(season):
    note = season.waiting.note
    PaperCancellation.objects.create(paper=note, reason="slip of the hand", at=timezone.now(), by=season.by)
    found(f"note {season.waiting.note.number} is cancelled")


def test_standing_note_of_a_delivery_unpacked(season):
    Delivery.objects.filter(pk=season.waiting.pk).update(state="unpacked")
    found(f"note {season.waiting.note.number} still stands")


def test_box_without_a_slip(season):
    box = season.waiting.boxes.get()
    slip, box.slip = box.slip, None
    box.save()
    found("box 1 has no packing slip")
    found(f"slip {slip.number} belongs to no box")


@pytest.mark.parametrize(
    ("model", "fields", "words"),
    [
        (Invoice, {"goods": Decimal("52.79")}, ("goods say 52.79", "52.80")),
        (Invoice, {"net": Decimal("61.31")}, ("net says 61.31", "61.30")),
        (Invoice, {"vat": Decimal("12.27")}, ("VAT says 12.27", "12.26")),
        (Invoice, {"gross": Decimal("73.57")}, ("total says 73.57", "73.56")),
        (Invoice, {"carriage": Decimal("8.49")}, ("carriage says 8.49", "8.50")),
        (InvoiceLine, {"net": Decimal("52.81")}, ("line 1 says 52.81", "52.80")),
        (InvoiceLine, {"pairs": 23}, ("23 pairs invoiced, 24 delivered",)),
        (InvoiceVat, {"taxable": Decimal("61.29")}, ("taxable at 20.00 % says 61.29", "61.30")),
        (InvoiceVat, {"vat": Decimal("12.25")}, ("VAT at 20.00 % says 12.25", "12.26")),
        (InvoiceVat, {"percent": Decimal("5")}, ("lines at a rate that has no VAT row",)),
    ],
)
def test_invoice_figures_that_do_not_re_add(season, behind, model, fields, words):  # noqa: F811
    behind(Invoice, "invoice_net_adds_up", "invoice_gross_adds_up")
    change(model, model.objects.get().pk, **fields)
    found(season.invoice.paper.number, *words)


def test_ledger_against_paper(season):
    paper = season.invoice.paper
    change(Paper, paper.pk, content={**paper.content, "totals": {**paper.content["totals"], "net": "1.00"}})
    found(paper.number, "net is 61.30 in the ledger and 1.00 on the paper")


def test_invoiced_delivery_that_has_not_left(season):
    Delivery.objects.filter(pk=season.gone.pk).update(state="packed")
    found(season.invoice.paper.number, "has not left")


def test_table_without_its_guard(season):
    unguard(Editor, "orders_paper")
    assert [line for line in breaches() if "orders_paper" in line and "trigger" in line]


def test_command_prints_a_line_a_breach_and_exits_with_one(season):
    out = StringIO()
    call_command("audit", stdout=out, stderr=StringIO())
    assert out.getvalue() == ""
    Lot.objects.filter(pk=season.lot.pk).update(set_aside=30)
    with pytest.raises(SystemExit) as stopped:
        call_command("audit", stdout=out, stderr=StringIO())
    assert stopped.value.code == 1
    assert len(out.getvalue().splitlines()) == 1


def test_audit_costs_the_same_queries_however_long_the_book(season):
    with CaptureQueriesContext(connection) as short:
        list(breaches())
    for _ in range(30):
        make_order(season.sent.shop, [(season.candle, 24)], by=season.by, status="draft")
        make_lot(season.candle, 5, by=season.by)
    for _ in range(3):
        ship_and_invoice(season.sent.shop, season.candle, season.by)
    with CaptureQueriesContext(connection) as long:
        assert list(breaches()) == []
    assert len(long) == len(short)
