"""Invoices abroad, in another currency, exempt, with an order discount or prompt payment; and papers of before."""

import io
from datetime import date
from decimal import Decimal

import pytest
from pypdf import PdfReader

from inventory.printing import render_pdf
from orders.audit import breaches
from orders.domain.invoice_draft import draft_invoice
from orders.domain.papers import paper_pdf
from orders.models import ExchangeRate, Order, VatRate
from tests.factories import make_candle, make_order, make_shop, make_workshop
from tests.factories.sent import make_sent
from tests.factories.trade import make_address
from tests.orders.credits import credit, take
from tests.orders.invoices import LEFT, TODAY, issue, make_invoiced_shop, refusal, sell

pytestmark = pytest.mark.django_db
ODD = "Ünïcødé <b>&amp;</b> \u202eright to left\u202c \u0416\u4e2d\U0001f56f 'quoted' \"twice\""


def text_of(pdf: bytes) -> str:
    return " ".join(" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(pdf)).pages)


def sound() -> list[str]:
    return [line for line in breaches() if line.startswith(("invoice", "credit note"))]


def make_abroad(**fields):
    make_workshop()
    shop = make_shop(address=False, **fields)
    make_address(shop, country="FR", town="Port-Chandelle", postcode="99999")
    return shop


def test_an_export_bears_no_vat_names_its_reason_and_waits_for_evidence():
    shop = make_abroad(carriage=Decimal("8.50"))
    _, delivery = sell(shop, 24)
    invoice = issue(shop, delivery)
    assert (invoice.vat, invoice.treatment, invoice.tax_point) == (0, "export", LEFT)
    [rate] = invoice.paper.content["rates"]
    assert (rate["category"], rate["reason_code"], rate["taxable"]) == ("G", "VATEX-EU-G", "122.50")
    assert invoice.evidence.due_by == date(2027, 2, 20)
    assert "No VAT is charged: Export outside the United Kingdom." in invoice.paper.content["notes"]
    assert credit(invoice, whole=True).paper.content["rates"][0]["reason_code"] == "VATEX-EU-G"
    assert sound() == []


def test_what_goes_abroad_and_what_stays_are_invoiced_apart():
    shop = make_abroad()
    home = make_address(shop, label="Depot", usual=False)
    _, abroad = sell(shop, 24)
    order = make_order(shop, [(make_candle(), 5)], deliver_to=home)
    assert "by itself, for its evidence" in refusal(shop, abroad, make_sent(order))


def test_another_currency_owes_its_vat_in_sterling_at_the_rate_kept():
    make_workshop()
    shop = make_shop(currency="EUR")
    order = make_order(shop, [(make_candle(trade_price=Decimal("10")), 10)], currency="EUR")
    delivery = make_sent(order, left_on=LEFT)
    assert "no exchange rate of EUR" in refusal(shop, delivery)
    ExchangeRate.objects.create(currency="EUR", since=date(2026, 11, 1), sterling=Decimal("0.8567"))
    ExchangeRate.objects.create(currency="EUR", since=date(2026, 12, 1), sterling=Decimal("0.9"))
    invoice = issue(shop, delivery)
    # VAT 20.00 EUR at 0.8567
    assert (invoice.currency, invoice.vat, invoice.vat_sterling) == ("EUR", Decimal("20.00"), Decimal("17.13"))
    content = invoice.paper.content
    assert content["sterling"]["vat"] == "17.13"
    assert "£17.13, at 0.8567 GBP for 1 EUR, the rate of 1 November 2026" in text_of(paper_pdf(invoice.paper))
    assert "To pay €120.00" in text_of(paper_pdf(invoice.paper))
    first, rest = credit(invoice, take(invoice, 1, 3)), credit(invoice, whole=True)
    assert first.vat_sterling + rest.vat_sterling == invoice.vat_sterling
    assert sound() == []


def test_two_currencies_never_share_an_invoice():
    make_workshop()
    shop = make_shop()
    _, pounds = sell(shop, 5)
    euros = make_sent(make_order(shop, [(make_candle(), 5)], currency="EUR"))
    assert "an invoice has one currency" in refusal(shop, pounds, euros)


def test_exempt_goods_say_under_which_law():
    shop = make_invoiced_shop()
    _, delivery = sell(shop, 24, vat_class="exempt")
    assert "no VAT rate of class exempt" in refusal(shop, delivery)
    VatRate.objects.create(
        vat_class="exempt", category="E", percent=0, since=date(2026, 1, 1), reason="Exempt: VATA 1994 Sch. 9"
    )
    invoice = issue(shop, delivery)
    [rate] = invoice.paper.content["rates"]
    assert (rate["category"], rate["rate"], rate["reason"]) == ("E", "exempt", "Exempt: VATA 1994 Sch. 9")
    assert (invoice.paper.content["title"], invoice.tax_point) == ("Invoice", LEFT)
    assert sound() == []


def test_a_rate_changed_between_order_and_invoice_is_that_of_the_tax_point():
    shop = make_invoiced_shop()
    order, delivery = sell(shop, 24)
    Order.objects.filter(pk=order.pk).update(placed_on=date(2026, 10, 1))
    VatRate.objects.create(vat_class="standard", category="S", percent=Decimal("25"), since=date(2026, 11, 25))
    assert draft_invoice(shop=shop, delivery_ids=[delivery.pk], issued_on=date(2026, 11, 24)).total.rates[0].vat == (
        Decimal("23.36")
    )
    assert issue(shop, delivery).vat == Decimal("29.20")


def test_an_order_discount_stands_on_the_paper_by_rate_with_its_reason():
    shop = make_invoiced_shop()
    candles = [make_candle(trade_price=Decimal("10"), vat_class=kind) for kind in ("standard", "zero")]
    order = make_order(
        shop, [(candles[0], 20), (candles[1], 10)], order_discount=Decimal("10"), order_discount_reason="Fair price"
    )
    invoice = issue(shop, make_sent(order))
    # 190 + 95 = 285, less 28.50 (19.00 and 9.50), free of carriage from 250 on; VAT on 171.00.
    assert (invoice.goods, invoice.allowance, invoice.net, invoice.vat) == (
        Decimal("285.00"), Decimal("28.50"), Decimal("256.50"), Decimal("34.20")
    )  # fmt: skip
    first, second = invoice.paper.content["allowances"]
    assert (first["code"], first["base"], first["of_percent"], first["amount"]) == ("95", "190.00", "10", "19.00")
    assert second["amount"] == "9.50"
    page = text_of(paper_pdf(invoice.paper))
    assert "Fair price, 10 % on order" in page
    assert "Discount on the order −28.50" in page
    assert sound() == []


def test_prompt_payment_shows_full_vat_and_the_statement_in_place_of_a_credit_note():
    """Price 1,000.00, 10 %: 200.00 VAT on the invoice; if taken 900.00 + 180.00 = 1,080.00 (Brief 49 (2014))."""
    make_workshop()
    shop = make_shop(prompt_percent=Decimal("10"), prompt_days=7)
    _, delivery = sell(shop, 100, price="10")
    invoice = issue(shop, delivery)
    assert (invoice.vat, invoice.gross) == (Decimal("200.00"), Decimal("1200.00"))
    assert (invoice.prompt_vat, invoice.prompt_gross) == (Decimal("180.00"), Decimal("1080.00"))
    assert invoice.prompt_by == date(2026, 12, 2)
    terms = invoice.paper.content["terms"]
    assert "A discount of 10% of the full price applies if payment is made within 7 days of the invoice date." in terms
    assert "No credit note will be issued." in terms
    assert "you must ensure you have only recovered the VAT actually paid" in terms
    assert "£900.00 and £180.00 VAT, £1,080.00 in all" in terms
    assert invoice.paper.content["allowances"] == []


def test_a_paper_frozen_before_contents_had_a_shape_is_printed_as_then():
    shop = make_invoiced_shop()
    content = dict(issue(shop, sell(shop, 24)[1]).paper.content)
    new = text_of(render_pdf("print/invoice.html", {"paper": content}))
    for name in ("shape", "kind", "symbol", "allowances", "charges", "sterling", "prompt", "preceding"):
        del content[name]
    old = text_of(render_pdf("print/invoice_of_old.html", {"paper": content}))
    for said in ("VAT invoice INV-1001", "Net, £", "To pay £140.16", "24 4.75 5 % 20 % 108.30"):
        assert said in old
        assert said in new


def test_odd_characters_stay_text_all_the_way_into_the_pdf():
    make_workshop(name=ODD[:60])
    shop = make_shop(name=ODD)
    candle = make_candle(name=ODD)
    invoice = issue(shop, make_sent(make_order(shop, [(candle, 3)], reference=ODD[:40])))
    note = credit(invoice, take(invoice, 1, 1), reason=ODD)
    for paper in (invoice.paper, note.paper):
        # A sign beyond the first 65,536 makes the reader hand every letter over as two bytes.
        page = text_of(paper_pdf(paper)).replace("\0", "")
        assert "Ünïcødé <b>&amp;</b>" in page
        assert paper.content["shop"]["name"] == ODD
    assert TODAY.isoformat() == invoice.paper.content["issued_iso"]
