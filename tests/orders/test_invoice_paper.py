"""The invoice as PDF, read back."""

import io
from datetime import date
from decimal import Decimal

import pytest
from pypdf import PdfReader

from inventory.printing import render_pdf
from orders.domain.invoicing import issue_invoice
from orders.domain.papers import paper_pdf
from tests.factories import make_address, make_candle, make_order, make_person, make_shop, make_workshop
from tests.factories.sent import make_sent

pytestmark = pytest.mark.django_db


def pages_of(pdf: bytes) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(pdf)).pages]


def make_invoice(lines: int, **workshop):
    make_workshop(**workshop)
    shop = make_shop(name="The Lamp Room", carriage=Decimal("8.50"), discount=Decimal("5"))
    make_address(shop, kind="invoice", label="Accounts", lines="PO Box 4\nThe Old Mill")
    rows = [
        (make_candle(code=f"K{n:03d}", name=f"Candle number {n:03d}", trade_price=Decimal("4.75")), 24)
        for n in range(lines)
    ]
    delivery = make_sent(make_order(shop, rows, reference="XM-0713"))
    return issue_invoice(
        shop=shop, delivery_ids=[delivery.pk], issued_on=date(2026, 11, 25), by=make_person("bookkeeper")
    )


def test_every_figure_stands_on_the_paper():
    invoice = make_invoice(3, company_number="01234567")
    [page] = pages_of(paper_pdf(invoice.paper))
    # 3 x 108.30 = 324.90; with carriage 333.40; VAT 66.68; to pay 400.08
    for said in (
        "VAT invoice INV-1001, 25 November 2026",
        "The Lamp Room PO Box 4 The Old Mill Orrin Bay ZZ2 2BB",
        "Tax point 25 November 2026",
        "Due 25 December 2026",
        "Your reference XM-0713",
        "Delivery DN-1001, left 20 November 2026, order 2001",
        "K000 Candle number 000 24 4.75 5 % 20 % 108.30",
        "20 % 324.90 8.50 333.40 66.68",
        "Goods 324.90",
        "Carriage 8.50",
        "Total without VAT 333.40",
        "VAT 66.68",
        "To pay £400.08",
        "Please pay £400.08 by 25 December 2026, 30 days from the date of this invoice.",
        "sort code 00-00-00, account 00000000; please quote INV-1001",
        "VAT number GB999999973",
        "Company number 01234567",
        "Page 1 of 1",
    ):
        assert said in page


def test_ninety_lines_run_over_clean_pages():
    invoice = make_invoice(90)
    pages = pages_of(paper_pdf(invoice.paper))
    assert len(pages) > 2
    for number, page in enumerate(pages, start=1):
        assert "INV-1001, 25 November 2026" in page
        assert f"Page {number} of {len(pages)}" in page
        assert "Code Candle Pairs" in page
    printed = " ".join(pages)
    assert [f"K{n:03d}" for n in range(90) if printed.count(f"K{n:03d} Candle") != 1] == []
    assert sum("To pay" in page for page in pages) == 1


def test_the_sums_never_stand_alone_on_a_page():
    content = make_invoice(16).paper.content
    every = content["deliveries"][0]["lines"]
    spread = set()
    # Lengths across the end of the first page: at one of them the sums just no longer fit below the lines.
    for lines in range(12, 17):
        content["deliveries"][0]["lines"] = every[:lines]
        pages = pages_of(render_pdf("print/invoice.html", {"paper": content}))
        spread.add(len(pages))
        assert "To pay" in pages[-1]
        assert "Please pay" in pages[-1]
        assert f"K{lines - 1:03d}" in pages[-1]
    assert spread == {1, 2}


def test_what_is_typed_is_text_on_the_paper():
    invoice = make_invoice(1, name="<b>Tallow</b> & Sons", bank_name="", account_number="")
    [page] = pages_of(paper_pdf(invoice.paper))
    assert "<b>Tallow</b> & Sons" in page
    assert "bank transfer" not in page


def test_without_a_vat_number_it_is_an_invoice_and_says_so():
    [page] = pages_of(paper_pdf(make_invoice(1, vat_number="").paper))
    assert "VAT invoice INV" not in page
    assert "Invoice INV-1001" in page
    assert "Date of supply 20 November 2026" in page
    assert "We are not registered for VAT" in page
    assert "To pay £116.80" in page
