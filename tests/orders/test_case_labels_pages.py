"""The page of a delivery's case labels, and its sheets."""

import io

import pytest
from pypdf import PdfReader

from orders.domain.packing import start_packing
from orders.models import CaseLabel
from tests.factories import make_lot, make_workshop
from tests.factories.labels import make_label_sheet, make_large_sheet
from tests.factories.season import make_season

pytestmark = pytest.mark.django_db
GTIN = "2900000000018"


@pytest.fixture
def season():
    found = make_season()
    found.candle.gtin = GTIN
    found.candle.save()
    make_workshop(gs1_prefix="2900000")
    return found


def page_of(delivery):
    return f"/deliveries/{delivery.pk}/labels/"


def sheets_of(delivery):
    return f"/deliveries/{delivery.pk}/labels.pdf"


def test_printing_numbers_the_cases_once_and_leads_to_the_sheets(client_for, season):
    packer, sheet = client_for("packer"), make_large_sheet()
    page = packer.get(page_of(season.waiting)).content.decode()
    assert "has 1 case, and a scanner reads what each of them holds" in page
    asked = {"sheet": sheet.pk, "start": "2"}
    for _ in range(2):
        sent = packer.post(page_of(season.waiting), asked)
        assert sent.url == f"{sheets_of(season.waiting)}?sheet={sheet.pk}&start=2"
    number = CaseLabel.objects.get().sscc
    text = PdfReader(io.BytesIO(packer.get(sent.url).content)).pages[0].extract_text()
    for said in (number, "Box 1 of 1", season.waiting.note.number, "L-1", "3.34 kg"):
        assert said in text


def test_sheets_are_not_printed_before_the_cases_are_numbered(client_for, season):
    packer, sheet = client_for("packer"), make_large_sheet()
    asked = {"sheet": sheet.pk, "start": "1"}
    assert packer.get(sheets_of(season.waiting), asked).url == page_of(season.waiting)
    make_workshop(gs1_prefix="")
    pdf = packer.get(sheets_of(season.waiting), asked)
    assert "(01)12900000000015(10)L-1" in PdfReader(io.BytesIO(pdf.content)).pages[0].extract_text()


@pytest.mark.parametrize(
    ("field", "value"), [("sheet", "0"), ("sheet", ""), ("start", "3"), ("start", "0"), ("start", "x")]
)
def test_a_wrong_request_comes_back_filled_and_numbers_nothing(client_for, season, field, value):
    packer, sheet = client_for("packer"), make_large_sheet()
    asked = {"sheet": sheet.pk, "start": "1", field: value}
    for response in (packer.post(page_of(season.waiting), asked), packer.get(sheets_of(season.waiting), asked)):
        assert response.status_code == 422
        assert list(response.context["form"].errors) == [field]
        assert response.context["form"][field].value() == value
    assert not CaseLabel.objects.exists()


def test_a_lot_whose_bars_are_wider_than_the_label_is_said_at_the_sheet(client_for, season):
    season.lot.code = "wide-lot-code-abcdef"
    season.lot.save()
    narrow = make_label_sheet(columns=2, rows=2, label_w_mm=99, label_h_mm=130, name="4 to A4")
    packer = client_for("packer")
    sent = packer.post(page_of(season.waiting), {"sheet": narrow.pk, "start": "1"})
    response = packer.get(sent.url)
    assert response.status_code == 422
    assert "mm, and there are 91" in response.context["form"].errors["sheet"][0]


def test_open_boxes_have_no_labels_yet(client_for, season):
    make_lot(season.candle, 12, by=season.by)
    packing = start_packing(order=season.short, by=season.by)
    packer, sheet = client_for("packer"), make_large_sheet()
    assert "are not closed" in packer.get(page_of(packing)).content.decode()
    response = packer.post(page_of(packing), {"sheet": sheet.pk, "start": "1"})
    assert response.status_code == 422
    assert packer.get(sheets_of(packing), {"sheet": sheet.pk, "start": "1"}).url == page_of(packing)


def test_without_a_sheet_large_enough_the_page_says_so(client_for, season):
    make_label_sheet()
    assert "No sheet of labels is large enough" in client_for("packer").get(page_of(season.waiting)).content.decode()


def test_the_delivery_leads_to_its_labels(client_for, season):
    address = f"/deliveries/{season.waiting.pk}/"
    assert page_of(season.waiting) in client_for("packer").get(address).content.decode()
    assert page_of(season.waiting) not in client_for("bookkeeper").get(address).content.decode()
