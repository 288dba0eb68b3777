import uuid
from datetime import date
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction

from orders.audit import invoices as audit
from orders.domain.credit_draft import draft_credit
from orders.domain.crediting import credit_figures
from orders.domain.invoice_draft import AlreadyInvoiced
from orders.models import CreditNote, CreditNoteLine, Invoice, Series, VatRate
from orders.queries.credits import left_of, with_credits
from orders.queries.invoices import to_invoice
from tests.factories import make_candle, make_order
from tests.factories.sent import make_sent
from tests.orders.credits import LATER, ask, credit, figures, refused, take
from tests.orders.invoices import TODAY, issue, make_invoiced_shop, sell

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop():
    return make_invoiced_shop()


@pytest.fixture
def invoice(shop):
    """24 and 12 pairs at 4.75 less 5 %: 108.30 + 54.15, carriage 8.50, VAT 34.19, to pay 205.14."""
    return issue(shop, sell(shop, 24, 12)[1])


def test_some_pairs_of_a_line(invoice):
    note = credit(invoice, take(invoice, 1, 10))
    # 10 x 4.75 less 5 % = 45.13 (45.125 half-up); VAT 9.03 (9.026)
    assert figures(note) == ["45.13", "0.00", "0.00", "45.13", "9.03", "54.16"]
    assert (note.paper.number, note.tax_point, note.vat_sterling) == ("CN-1001", TODAY, Decimal("9.03"))
    assert left_of(invoice).gross == Decimal("150.98")
    row = with_credits(Invoice.objects.all()).get()
    assert (row.credited, row.uncredited) == (Decimal("54.16"), Decimal("150.98"))
    assert list(audit.breaches()) == []


def test_its_content_names_the_invoice_and_holds_every_figure(invoice):
    content = credit(invoice, take(invoice, 1, 10), carriage="8.50").paper.content
    assert (content["kind"], content["title"], content["number"]) == ("credit note", "Credit note", "CN-1001")
    assert content["invoice"]["number"] == "INV-1001"
    assert content["preceding"] == [
        {"number": "INV-1001", "issued_on": "25 November 2026", "issued_iso": "2026-11-25"}
    ]
    [line] = content["deliveries"][0]["lines"]
    assert (line["pairs"], line["unit"], line["price"], line["allowance"]) == (10, "PR", "4.75", "2.37")
    assert (line["net"], line["invoice_position"], line["percent"]) == ("45.13", 1, "20")
    assert content["totals"]["due"] == content["totals"]["gross"] == "64.36"
    assert "comes off invoice INV-1001" in content["terms"]


def test_the_last_credit_takes_the_last_penny(invoice):
    """Three credits reckoned apart would come to a penny more or less VAT than the invoice; the last one evens it."""
    for pairs in (7, 7, 10):
        credit(invoice, take(invoice, 1, pairs))
    credit(invoice, take(invoice, 2, 12), carriage="8.50")
    notes = list(CreditNote.objects.all())
    assert sum(note.net for note in notes) == invoice.net
    assert sum(note.vat for note in notes) == invoice.vat
    assert left_of(invoice).gross == 0
    assert "Nothing is left" in refused(invoice, take(invoice, 1, 1))
    assert list(audit.breaches()) == []


def test_whole(invoice):
    assert figures(credit(invoice, whole=True)) == figures(invoice)
    assert "Nothing is left" in refused(invoice, whole=True)


def test_an_amount_off_a_line_without_pairs(invoice):
    note = credit(invoice, take(invoice, 1, amount="10.00"), why="overcharged")
    assert figures(note)[3:] == ["10.00", "2.00", "12.00"]
    [line] = note.paper.content["deliveries"][0]["lines"]
    assert (line["unit"], line["price"], line["net"]) == ("C62", "10.00", "10.00")
    # The pairs that are left carry what is left of their line.
    assert credit(invoice, take(invoice, 1, 24)).goods == Decimal("98.30")


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ({"pairs": 25}, "Line 1 has 24 pairs left"),
        ({"pairs": -1}, "Line 1 has 24 pairs left"),
        ({"pairs": 10**9}, "Line 1 has 24 pairs left"),
        ({"amount": "108.31"}, "Line 1 has 108.30 left"),
        ({"amount": "-1"}, "Line 1 has 108.30 left"),
        ({"pairs": 1, "amount": "1"}, "not both"),
    ],
)
def test_never_more_than_is_left_of_a_line(invoice, asked, says):
    assert says in refused(invoice, take(invoice, 1, **asked))


def test_never_more_than_is_left_of_the_carriage(invoice):
    assert "8.50 is left" in refused(invoice, take(invoice, 1, 1), carriage="8.51")
    assert "8.50 is left" in refused(invoice, take(invoice, 1, 1), carriage="-1")
    credit(invoice, carriage="8.50")
    assert "0.00 is left" in refused(invoice, take(invoice, 1, 1), carriage="0.01")


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"reason": " "}, "Say why"),
        ({"reason": "x" * 201}, "at most 200"),
        ({"why": "nonsense"}, "what it is for"),
        ({"set_off_on": date(2026, 12, 4)}, "has not come yet"),
        ({"set_off_on": date(2026, 11, 24)}, "that day or later"),
        ({"anew": True}, "taken back whole"),
        ({"why": "rate"}, "No VAT rate on INV-1001 has changed"),
    ],
)
def test_refuses_and_says_why(invoice, fields, says):
    assert says in refused(invoice, take(invoice, 1, 1), **fields)
    assert Series.objects.get(name="credit note").next == 1001


def test_refuses_nothing_and_anothers_line(shop, invoice):
    assert "Nothing would be credited" in refused(invoice)
    other = issue(shop, sell(shop, 5)[1])
    assert "not on the invoice" in refused(invoice, take(other, 1, 1))


def test_sent_twice_it_is_one_note(invoice):
    key = uuid.uuid4()
    first = credit(invoice, take(invoice, 1, 1), submission=key)
    assert credit(invoice, take(invoice, 1, 1), submission=key) == first
    assert CreditNote.objects.count() == 1


def test_what_was_seen_is_what_is_issued(invoice):
    seen = credit_figures(draft_credit(invoice=invoice, asked=ask(whole=True), issued_on=LATER))
    credit(invoice, take(invoice, 1, 1))
    assert "changed while you looked" in refused(invoice, whole=True, seen=seen)


def test_the_order_discount_is_given_back_with_the_goods(shop):
    order = make_order(
        shop,
        [(make_candle(trade_price=Decimal("10")), 10), (make_candle(trade_price=Decimal("10"), vat_class="zero"), 5)],
        order_discount=Decimal("10"),
        order_discount_reason="Opening offer",
    )
    invoice = issue(shop, make_sent(order))
    # Goods 95 + 47.50 = 142.50, 10 % is 14.25: 9.50 and 4.75; carriage 8.50 is 5.67 and 2.83.
    assert (invoice.allowance, invoice.net) == (Decimal("14.25"), Decimal("136.75"))
    note = credit(invoice, take(invoice, 1, 5))
    assert figures(note) == ["47.50", "4.75", "0.00", "42.75", "8.55", "51.30"]
    rest = credit(invoice, whole=True)
    assert (note.net + rest.net, note.vat + rest.vat) == (invoice.net, invoice.vat)
    assert list(audit.breaches()) == []


def test_taken_back_whole_its_deliveries_are_invoiced_anew(shop, invoice):
    delivery = invoice.deliveries.get().delivery
    assert not to_invoice(shop).exists()
    credit(invoice, whole=True, anew=True, why="mistake")
    assert list(to_invoice(shop)) == [delivery]
    again = issue(shop, delivery)
    assert (again.gross, again.carriage) == (invoice.gross, invoice.carriage)
    assert [row.round for row in delivery.invoicings.order_by("pk")] == [0, 1]
    with pytest.raises(AlreadyInvoiced, match=r"on INV-1002"):
        issue(shop, delivery)
    assert list(audit.breaches()) == []


def test_what_is_credited_in_part_is_not_taken_back_anew(invoice):
    credit(invoice, take(invoice, 1, 1))
    assert "credited already" in refused(invoice, whole=True, anew=True)


def test_a_change_of_rate_has_the_laws_heading_and_45_days(shop):
    _, delivery = sell(shop, 24, left_on=date(2026, 11, 20))
    invoice = issue(shop, delivery)
    VatRate.objects.create(vat_class="standard", category="S", percent=Decimal("17.5"), since=date(2026, 11, 24))
    asked = {"why": "rate", "whole": True}
    assert "back whole, to be issued anew" in refused(invoice, **asked)
    assert "within 45 days" in refused(invoice, **asked, anew=True, issued_on=date(2027, 1, 9))
    note = credit(invoice, **asked, anew=True, issued_on=date(2027, 1, 8))
    assert note.paper.content["title"] == "Credit note-change of VAT rate"
    # The credit is at the rate of the invoice, the new invoice at the rate in force at its tax point.
    assert note.vat == invoice.vat
    assert issue(shop, delivery).vat_rows.get().percent == Decimal("17.50")


def test_constraints_hold_a_bare_create(invoice):
    note = credit(invoice, take(invoice, 1, 1))
    line = invoice.lines.get(position=2)
    values = {"note": note, "position": 2, "invoice_line": line, "pairs": 0, "net": Decimal("0")}
    with pytest.raises(IntegrityError), transaction.atomic():
        CreditNoteLine.objects.create(**values)
    fields = {field.attname: getattr(note, field.attname) for field in CreditNote._meta.fields}
    for wrong in ({"gross": note.gross + 1}, {"net": note.net + 1}, {"gross": Decimal(0)}):
        with pytest.raises(IntegrityError), transaction.atomic():
            CreditNote.objects.create(**{**fields, "id": None, "paper_id": invoice.paper_id, **wrong})
    with pytest.raises(IntegrityError), transaction.atomic():
        CreditNote.objects.filter(pk=note.pk).update(reason="another")
