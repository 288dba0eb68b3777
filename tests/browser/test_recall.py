"""A recall, from a lot of wax to the telephone: exactly its deliveries, on the screen, on paper and in the file."""

import csv
import io
import re
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from tests.factories import make_candle, make_person, make_vat, make_vat_reading
from tests.factories.materials import make_material, make_material_lot
from tests.factories.traced import make_called_shop, make_dipped, make_sent_from


@pytest.fixture
def house():
    """Frames of two lots of wax over one vat with a change-over between them; three shops with some of each."""
    packer, candle = make_person(), make_candle(code="IV250")
    vat = make_vat(wax=candle.wax, colour=candle.colour, name="North vat")
    material = make_material(name="Paraffin pellets")
    bad = make_material_lot(material, 500_000, days_ago=40, code="M26-7", supplier_lot="PA/4711")
    good = make_material_lot(material, 500_000, days_ago=30, code="M26-8")
    held = [make_dipped(candle, vat, bad, days_ago=day) for day in (29, 28)]
    mate = make_dipped(candle, vat, good, days_ago=27)
    make_vat_reading(vat, kind="change-over", at=timezone.now() - timedelta(days=26))
    clean = make_dipped(candle, vat, good, days_ago=20)
    shops = [make_called_shop(name=name) for name in ("Fern & Flint", "Quayside", "Ossel Gifts")]
    notes = {}
    for name, frame, shop, pairs in (
        ("first", held[0], shops[0], 12), ("second", held[1], shops[1], 6), ("third", held[1], shops[0], 3),
        ("mate", mate, shops[2], 7), ("clean", clean, shops[2], 8),
    ):  # fmt: skip
        notes[name] = make_sent_from(frame.grading.lot, pairs, shop, by=packer)
    return {"packer": packer, "bad": bad, "held": held, "mate": mate, "notes": notes, "candle": candle}


def rows_of(page, caption: str) -> list[str]:
    table = page.get_by_role("table", name=caption)
    return [re.sub(r"\s+", " ", text) for text in table.locator("tbody tr").all_inner_texts()]


def test_a_recall_from_one_wax_lot_lists_exactly_the_deliveries(page, sign_in, check_axe, house):
    notes = {name: delivery.note.number for name, delivery in house["notes"].items()}
    sign_in(page, house["packer"])
    page.goto(reverse("stockroom"))
    page.get_by_role("link", name="Trace a code").press("Enter")
    page.get_by_role("textbox", name="Code").press_sequentially("PA/4712")
    page.get_by_role("button", name="Trace it").press("Enter")
    page.get_by_text("Nothing in the book bears the code PA/4712.").first.wait_for()
    check_axe(page)
    page.get_by_role("link", name="Material lot PA/4711").press("Enter")
    page.get_by_role(
        "heading", name="Material lot M26-7: 21 pairs went to 2 shops on 3 deliveries; 59 are here."
    ).wait_for()
    listed = rows_of(page, "Who has it")
    assert sorted(re.search(r"DN-\d+", row).group() for row in listed) == sorted(
        notes[name] for name in ("first", "second", "third")
    )
    assert all("Della Finch (orders), 01632 960123" in row for row in listed)
    (traces,) = rows_of(page, "Shops whose candles may hold traces")
    assert re.match(r"Ossel Gifts.* 7 ", traces)
    page.set_viewport_size({"width": 820, "height": 1000})
    check_axe(page)
    assert page.evaluate("document.documentElement.scrollWidth") <= 820
    held_on_file(page, notes)
    held_on_paper(page, notes)


def held_on_file(page, notes) -> None:
    with page.expect_download() as download:
        page.get_by_role("link", name="Save as CSV").click()
    text = download.value.path().read_text(encoding="utf-8-sig")
    rows = [row for row in csv.DictReader(io.StringIO(text)) if row["Delivery note"]]
    why = {row["Delivery note"]: row["Why it is listed"].split(":")[0] for row in rows}
    assert why == {
        notes["first"]: "holds it", notes["second"]: "holds it", notes["third"]: "holds it",
        notes["mate"]: "may hold traces",
    }  # fmt: skip


def held_on_paper(page, notes) -> None:
    address = page.get_by_role("link", name="Recall sheet").get_attribute("href")
    pdf = PdfReader(io.BytesIO(page.request.get(address).body()))
    text = " ".join(sheet.extract_text() for sheet in pdf.pages)
    assert {note for note in notes.values() if note in text} == {notes[name] for name in ("first", "second", "third")}
    assert "01632 960123" in text


def test_a_box_is_traced_and_a_complaint_of_it_written_down_and_closed(page, sign_in, check_axe, house):
    delivery = house["notes"]["first"]
    lot = house["held"][0].grading.lot
    sign_in(page, house["packer"])
    page.goto(reverse("trace"))
    page.get_by_role("textbox", name="Code").fill(f"(37)12(10){lot.code}")
    page.get_by_role("button", name="Trace it").click()
    page.get_by_role("link", name="Write a complaint down").click()
    page.get_by_label("Shop").select_option(label=str(delivery.order.shop))
    page.get_by_label("What is wrong with them").fill("smokes")
    page.get_by_label("Pairs").fill("13")
    page.get_by_role("button", name="Write it down").click()
    page.get_by_text("was sent 12 pairs").first.wait_for()
    check_axe(page)
    page.get_by_label("Pairs").fill("2")
    page.get_by_role("button", name="Write it down").click()
    page.get_by_text("It is open.").wait_for()
    check_axe(page)
    page.get_by_label("What was done").fill("Two pairs replaced.")
    page.get_by_role("button", name="Close the complaint").click()
    page.get_by_text("The complaint is closed.").wait_for()
    page.goto(reverse("complaints"))
    page.get_by_role("heading", name="No complaint is open.").wait_for()
    check_axe(page)
