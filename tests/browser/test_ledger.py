import io
from datetime import timedelta
from decimal import Decimal

from django.utils import timezone
from pypdf import PdfReader

from tests.factories import make_candle, make_order, make_person, make_shop, make_workshop
from tests.factories.sent import make_sent


def test_from_what_waits_to_the_figures_on_the_paper(page, sign_in, check_axe):
    make_workshop()
    shop = make_shop(name="The Lamp Room", town="Wexcombe", carriage=Decimal("8.50"))
    for reference in ("XM-0713", "XM-0714"):
        order = make_order(shop, [(make_candle(trade_price=Decimal("4.75")), 24)], reference=reference)
        make_sent(order, left_on=timezone.localdate() - timedelta(days=1))
    sign_in(page, make_person("bookkeeper"))
    page.goto("/ledger/")
    check_axe(page)
    page.get_by_role("link", name="Make the invoice of The Lamp Room").first.click()
    page.get_by_text("The Lamp Room pays 294.00 for 2 deliveries").wait_for()
    check_axe(page)
    # 24 x 4.75 = 114.00; with carriage 122.50; VAT 24.50
    page.get_by_label("XM-0714").uncheck()
    page.get_by_text("The Lamp Room pays 147.00 for 1 delivery").wait_for()
    assert page.get_by_label("XM-0713").is_checked()
    page.keyboard.press("Control+Enter")
    page.get_by_text("INV-1001 is issued: 147.00").wait_for()
    check_axe(page)
    pdf = page.request.get(page.get_by_role("link", name="Open the PDF").get_attribute("href"))
    printed = " ".join(PdfReader(io.BytesIO(pdf.body())).pages[0].extract_text().split())
    for figure in ("Your reference XM-0713", "Goods 114.00", "Carriage 8.50", "VAT 24.50", "To pay £147.00"):
        assert figure in printed
    assert "XM-0714" not in printed
