"""HTML, scripts, template signs and formulas in every text of the book: on no page, paper or sheet do they act."""

import csv
import io
import re
import zipfile
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import urlencode

import pytest
from django.urls import reverse
from lxml import etree
from openpyxl import load_workbook
from pypdf import PdfReader

from inventory.sheets.parts import FORMULA_STARTS
from orders.domain.shop_links import link_for, token_of
from tests.every_page import is_file, opened
from tests.factories.order_forms import make_form
from tests.factories.season import ship_and_invoice
from tests.hostile.marked import FORMULA, MARKUP, mark

pytestmark = [pytest.mark.django_db, pytest.mark.sqlite]  # what a page makes of text is no business of the database
ROOT = Path(__file__).resolve().parents[2]
APPS = ("config", "inventory", "production", "orders")
# Too short for any markup: two letters of a country, three of a currency, the code of a VAT category.
TOO_SHORT = re.compile(r"\.(country|currency|category)$")
# A constraint ties them to what else the row says: no fault on a lot of firsts, nothing done about an open complaint.
TIED = {"inventory.Lot.fault", "orders.Complaint.done"}
ADDRESSES = ("href", "src", "action", "formaction", "hx-get", "hx-post")
OURS = re.compile(r"[/?#]|$|mailto:[\w.]+@[\w.]+$")
# Written without a template for speed: the cells of tables, the options of a select.
BY_HAND = {"inventory/tables/drawing.py", "config/templatetags/wickturn.py"}
# mark_safe of anything but a bare word of the house, such as mark_safe("<br>").
HAND_MADE = re.compile(r"\b(mark_safe|SafeString)\((?![\"'][^\"'{]*[\"']\))")


def marked(world, texts):
    left = mark(texts)
    assert {name for name in left if not TOO_SHORT.search(name)} <= TIED


class Acting(HTMLParser):
    """What on a page is not of the house: elements and attributes of the text's own, addresses that lead elsewhere."""

    def __init__(self):
        super().__init__()
        self.found = []

    def handle_starttag(self, tag, attrs):
        if tag == "zq" or any("zq" in name for name, _ in attrs):
            self.found.append(f"<{tag} {' '.join(name for name, _ in attrs)}>")
        self.found += [f"{name}={to}" for name, to in attrs if name in ADDRESSES and not OURS.match(to or "")]


def acting(answer) -> list[str]:
    reader = Acting()
    reader.feed(answer.content.decode())
    return reader.found


def asked_with(page: str) -> dict[str, str]:
    """The names a page asks itself with, in forms and links, each with markup for a value."""
    names = set(re.findall(r"[?&;]([\w-]+)=", page))
    for form in re.findall(r'<form[^>]*method="get".*?</form>', page, re.DOTALL):
        names |= set(re.findall(r' name="([\w-]+)"', form))
    # How a table is sorted and paged is the same on every page: tests/hostile/test_doors.py asks a few.
    return dict.fromkeys(sorted(name for name in names if not name.endswith(("page", "sort"))), MARKUP[0])


def is_page(answer) -> bool:
    return answer.status_code == 200 and answer["Content-Type"].startswith("text/html")


def test_no_text_of_the_book_becomes_markup_on_any_page(world, owner):
    marked(world, MARKUP)
    token = token_of(link_for(order=world.season.waiting.order, by=world.season.by))
    wrong, shown = [], set()
    pages = {name: address for name, address in world.addresses.items() if not is_file(address)}
    pages["own_view"] = reverse("own_view", args=[token])
    for name, address in pages.items():
        answer = opened(owner, address)
        if not is_page(answer):
            continue
        page = answer.content.decode()
        wrong += [f"{name}: {what}" for what in acting(answer)]
        if "&lt;zq" in page:
            shown.add(name)
        # What is asked for is text as well, and a part of a page is a page.
        if (query := asked_with(page)) and "?" not in address:
            answer = owner.get(f"{address}?{urlencode(query)}", HTTP_HX_REQUEST="true")
            wrong += [f"{name} asked: {what}" for what in acting(answer)] if is_page(answer) else []
    assert not wrong, "\n".join(wrong)
    assert len(shown) > 120, "the text does not reach the pages"


def test_what_is_not_escaped_by_itself_is_known():
    """Templates never leave autoescape; few files put text together as markup themselves, and those escape it."""
    templates = list((ROOT / "templates").rglob("*.html"))
    assert len(templates) > 200
    for file in templates:
        text = file.read_text()
        assert not re.search(r"\|\s*safe|autoescape\s+off|safeseq", text), file
    found = [file for app in APPS for file in (ROOT / app).rglob("*.py") if HAND_MADE.search(file.read_text())]
    assert found
    for file in found:
        assert file.name.endswith("_svg.py") or file.relative_to(ROOT).as_posix() in BY_HAND, file
        assert re.search(r"import (conditional_)?escape\b|numbers only", file.read_text()), file


def test_no_text_of_the_book_acts_on_paper_or_in_an_e_invoice(world, owner):
    marked(world, MARKUP)
    season = world.season
    invoice = ship_and_invoice(season.sent.shop, season.candle, season.by)
    papers = [invoice.paper, invoice.deliveries.get().delivery.note]
    addresses = [paper.get_absolute_url() for paper in papers]
    addresses += [world.addresses[name] for name in ("recall_pdf", "seconds_box_label")]
    for address in addresses:
        answer = owner.get(address)
        assert answer.status_code == 200, address
        reader = PdfReader(io.BytesIO(answer.content))
        text = "".join(page.extract_text() for page in reader.pages)
        assert "<zq" in text, address
        assert not {"/OpenAction", "/AA", "/AcroForm"} & set(reader.root_object), address
        assert not reader.attachments, address
        links = [note for page in reader.pages for note in page.get("/Annots") or []]
        assert not links, address
    answer = owner.get(reverse("e_invoice_xml", args=[invoice.paper_id]))
    names = {etree.QName(element).localname for element in etree.fromstring(answer.content).iter()}
    assert "zq" not in names
    assert b"&lt;zq" in answer.content


def cells(answer) -> list:
    """Every cell of a CSV, a workbook or a zip of CSVs; a workbook's also says if a program would take it for code."""
    data = b"".join(answer) if answer.streaming else answer.content
    if data.startswith(b"PK"):
        with zipfile.ZipFile(io.BytesIO(data)) as made:
            sheets = [made.read(name) for name in made.namelist() if name.endswith(".csv")]
        if not sheets:
            book = load_workbook(io.BytesIO(data))
            return [cell for sheet in book for row in sheet.iter_rows() for cell in row]
    else:
        sheets = [data]
    rows = (row for sheet in sheets for row in csv.reader(io.StringIO(sheet.decode("utf-8-sig"), newline="")))
    return [cell for row in rows for cell in row]


def runs(cell) -> bool:
    """Whether a spreadsheet would run the cell: text that begins like a formula, and is not the house's own number."""
    if not isinstance(cell, str):
        asks = isinstance(cell.value, str) and cell.value.startswith(FORMULA_STARTS)
        return cell.data_type == "f" or (asks and not cell.quotePrefix)
    return cell.startswith(FORMULA_STARTS) and not re.fullmatch(r"-\d+(\.\d+)?", cell)


def test_no_sheet_that_leaves_the_house_runs_what_somebody_typed(world, owner):
    marked(world, FORMULA)
    met = 0
    sheets = [name for name, address in world.addresses.items() if re.search(r"\.(csv|xlsx|zip)$", address)]
    assert len(sheets) > 15
    for name in sheets:
        answer = owner.get(world.addresses[name])
        assert answer.status_code == 200, name
        assert answer["Content-Disposition"].startswith("attachment"), name
        found = cells(answer)
        assert not [cell for cell in found if runs(cell)], name
        met += any("=1+1" in str(getattr(cell, "value", cell)) or "=cmd" in str(cell) for cell in found)
    assert met > 10, "the text does not reach the sheets"


# A soft line break as it comes along from a pasted cell, a bell, and a sign that is none.
CONTROLS = ("wick\x0band\x07wax\ufffe", "w\x0bx")


def test_signs_that_xml_cannot_hold_stop_no_sheet_and_no_e_invoice(world, owner):
    marked(world, CONTROLS)
    season = world.season
    invoice = ship_and_invoice(season.sent.shop, season.candle, season.by)
    form = make_form(shop=season.sent.shop, by=season.by)
    addresses = [reverse(name, args=[invoice.paper_id]) for name in ("e_invoice_xml", "e_invoice_pdf")]
    addresses += [form.file.get_absolute_url(), *(world.addresses[name] for name in ("books_xlsx", "take_xlsx"))]
    for address in addresses:
        assert opened(owner, address).status_code == 200, address
    root = etree.fromstring(owner.get(addresses[0]).content)
    assert any((element.text or "").startswith("wick and wax ") for element in root.iter())
