"""The straight way through the house: a 40-line Christmas order from the keyboard to the invoice, papers read back."""

import io
import re
from decimal import Decimal

import pytest
from django.urls import reverse
from pypdf import PdfReader

from config.demo.catalogue import make_house
from inventory.models import Candle
from orders.audit import breaches
from orders.models import Invoice, Order
from orders.models.order import DONE
from tests.factories import make_lot, make_person, make_shop

pytestmark = pytest.mark.django_db(transaction=True)
LINES = 40


@pytest.fixture
def owner():
    return make_person("owner", full_name="Edda Marlow")


@pytest.fixture
def wanted(owner) -> list[tuple[Candle, int]]:
    """Forty candles of the demo's catalogue, each in stock for what will be ordered, some from two lots."""
    candles = make_house()[:LINES]
    wanted = [(candle, 6 + 6 * (number % 4)) for number, candle in enumerate(candles)]
    for number, (candle, pairs) in enumerate(wanted):
        first = pairs // 2 if number % 5 == 0 else pairs
        make_lot(candle, first, by=owner, dip_run=f"R{number}")
        if pairs - first:
            make_lot(candle, pairs - first, by=owner, dip_run=f"R{number}")
    return wanted


@pytest.fixture
def shop():
    return make_shop(name="Lamp and Larder", town="Wexcombe", discount=5, carriage="8.50", reference_required=True)


def text_of(page, address: str) -> list[str]:
    """The text of each page of the PDF at the address, as the person signed in gets it."""
    answer = page.request.get(address)
    assert answer.headers["content-type"] == "application/pdf"
    return [re.sub(r"\s+", " ", sheet.extract_text()) for sheet in PdfReader(io.BytesIO(answer.body())).pages]


def take_order(page, shop, wanted) -> Order:
    page.goto(reverse("order_new"))
    page.keyboard.type("larder")
    page.wait_for_selector("#shops form[data-typed=larder]")
    page.keyboard.press("Enter")
    page.wait_for_url("**/entry/")
    for candle, pairs in wanted:
        page.keyboard.type(candle.code.lower())
        page.keyboard.press("Enter")
        page.keyboard.type(str(pairs))
        page.keyboard.press("Enter")
    page.get_by_label("Their reference").fill("XM-0713")
    page.keyboard.press("Control+Enter")
    order = Order.objects.get()
    page.wait_for_url(f"**/orders/{order.number}/")
    return order


@pytest.fixture
def desk(page, sign_in, owner):
    """The page, with the owner signed in."""
    sign_in(page, owner)
    return page


def test_a_christmas_order_from_typing_it_in_to_the_invoice(desk, check_axe, shop, wanted):
    page, pairs = desk, sum(count for _, count in wanted)
    order = take_order(page, shop, wanted)
    page.get_by_role("button", name="Set aside what is free").click()
    page.get_by_text(f"all {pairs:,} pairs").wait_for()
    check_axe(page)
    page.get_by_role("button", name="Start packing").click()
    page.get_by_role("button", name="Close the boxes").click()
    page.get_by_text("DN-1001 is made").wait_for()
    delivery = order.deliveries.get()

    check_note_and_slips(page, delivery, wanted)

    page.get_by_role("button", name="The van has left with it").click()
    page.get_by_text(f"{pairs:,} pairs have left the stock").wait_for()
    page.goto(reverse("ledger"))
    check_axe(page)
    page.get_by_role("link", name=f"Make the invoice of {shop.name}").last.click()
    page.get_by_role("button", name="Issue the invoice").click()
    page.wait_for_url("**/ledger/invoices/*/")
    invoice = Invoice.objects.get()
    check_axe(page)
    check_invoice(text_of(page, invoice.paper.get_absolute_url()), wanted, invoice)

    order.refresh_from_db()
    assert order.status == DONE
    assert list(breaches()) == []


def check_invoice(sheets: list[str], wanted, invoice: Invoice) -> None:
    """Every figure is reckoned here anew, from the trade prices alone, and looked for in the print."""
    penny = Decimal("0.01")
    nets = [
        (count * candle.trade_price * Decimal("0.95")).quantize(penny, "ROUND_HALF_UP") for candle, count in wanted
    ]
    goods = sum(nets)
    net = goods + Decimal("8.50")  # the shop's carriage, charged once an order
    vat = (net * Decimal("0.20")).quantize(penny, "ROUND_HALF_UP")
    text = " ".join(sheets)
    for (candle, _), line_net in zip(wanted, nets, strict=True):
        assert candle.name in text
        assert f"{line_net:,}" in text
    for words in (
        "INV-1001",
        "XM-0713",
        "DN-1001",
        "GB999999973",
        "00-00-00",
        f"{goods:,}",
        "8.50",
        f"{net:,}",
        f"{vat:,}",
        f"{net + vat:,}",
    ):
        assert words in text, words
    assert invoice.gross == net + vat
    # More than one sheet: each says which it is, and the sums do not stand alone on the last.
    assert len(sheets) > 1
    assert f"{net + vat:,}" in sheets[-1]
    assert wanted[-1][0].name in sheets[-1]


def check_note_and_slips(page, delivery, wanted) -> None:
    pairs = sum(count for _, count in wanted)
    note = " ".join(text_of(page, delivery.note.get_absolute_url()))
    assert "DN-1001" in note
    assert "XM-0713" in note
    assert f"{pairs}" in note
    assert str(wanted[0][0].trade_price) not in note
    for line in delivery.lines.select_related("lot", "line__candle"):
        assert line.lot.code in note
        assert line.line.candle.name in note
    boxes = list(delivery.boxes.select_related("slip"))
    in_boxes = 0
    for box in boxes:
        slip = " ".join(text_of(page, box.slip.get_absolute_url()))
        assert re.search(rf"[Bb]ox {box.number} of {len(boxes)}", slip)
        in_boxes += sum(content.pairs for content in box.contents.all())
    assert in_boxes == pairs
