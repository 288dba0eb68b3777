"""Labels for packs: what they say, what they go without, what is refused; by the page and as a PDF."""

import io
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from pypdf import PdfReader

from production.label_words import left_out, net_in_words
from production.queries.pack_labels import Pack, barcode_number, gaps, pack_label
from tests.factories import make_candle, make_lot, make_wax, make_workshop
from tests.factories.labels import make_label_sheet, make_large_sheet

pytestmark = pytest.mark.django_db
GTIN = "2900000000018"


@pytest.fixture
def sheet():
    make_workshop()
    return make_label_sheet()


def label(sheet, **asked):
    candle = asked.pop("candle", None) or make_candle(gtin=GTIN)
    return pack_label(Pack(candle=candle, sheet=sheet, **asked))


@pytest.mark.parametrize(
    ("grams", "words"),
    [("128.64", "128 g"), ("10", "10 g"), ("9.99", "9.9 g"), ("0.1", "0.1 g"), ("0.09", ""), ("0", ""),
     ("1000", "1.00 kg"), ("1286.9", "1.28 kg")],
)  # fmt: skip
def test_a_net_weight_is_never_rounded_up(grams, words):
    assert net_in_words(Decimal(grams)) == words


def test_a_label_names_candle_lot_weight_and_maker(sheet):
    candle = make_candle(name="Ivory taper", code="IV250", gtin=GTIN)
    said = label(sheet, candle=candle, lot=make_lot(candle, code="F26-1125-03"))
    assert (said["content"], said["shape"], said["net"]) == ("1 pair (2 candles)", "250 x 22 mm", "128 g")
    assert said["lot"] == "F26-1125-03"
    assert said["maker"] == "Tallow Lane Candles, 2 Tallow Lane, Wexcombe ZZ1 1AA"
    assert said["burns"] == "Burns about 10½ hours each (estimate: 6 g an hour, not measured)."
    assert "Use a heat-resistant candle holder." in said["warnings"]


def test_a_candle_that_stands_by_itself_asks_for_no_holder(sheet):
    said = label(sheet, candle=make_candle(needs_holder=False), burn=False)
    assert "holder" not in said["warnings"]
    assert said["burns"] == ""


def test_what_was_weighed_goes_before_what_is_reckoned(sheet):
    candle = make_candle()
    assert label(sheet, candle=candle, net_g=Decimal("131.4"))["net"] == "131 g"
    assert label(sheet, candle=candle, pairs=10)["net"] == "1.28 kg"


def test_a_candle_without_weight_gets_no_label(sheet):
    dust = make_wax(density_solid=Decimal("0.002"), density_liquid=Decimal("0.001"))
    mote = make_candle(wax=dust, length_mm=20, base_mm=3, tip_mm=1)
    with pytest.raises(ValidationError) as refused:
        label(sheet, candle=mote)
    assert "weighs nothing" in refused.value.message_dict["net_g"][0]
    assert label(sheet, candle=mote, net_g=Decimal(12))["net"] == "12 g"


def test_a_label_without_a_maker_is_refused():
    with pytest.raises(ValidationError, match="names its maker"):
        label(make_label_sheet())


def test_more_than_a_label_holds_is_refused(sheet):
    long = make_candle(name="Candle " * 11)
    every = ("apart", "draught", "trim", "upright", "liquid", "move")
    with pytest.raises(ValidationError) as refused:
        label(sheet, candle=long, more=every)
    assert "wants a larger label" in refused.value.message_dict["sheet"][0]
    assert len(label(make_large_sheet(), candle=long, more=every)["marks"]) == 11


@pytest.mark.parametrize(
    ("gtin", "pairs", "grade", "said"),
    [
        (GTIN, 1, "firsts", []),
        ("", 1, "firsts", ["No barcode: this candle has no GTIN."]),
        ("16291041500210", 1, "firsts", ["No barcode: 16291041500210 names a case, and a till reads no such number."]),
        (GTIN, 3, "firsts", [f"No barcode: {GTIN} names one pair; a pack of 3 would need a number of its own."]),
        (GTIN, 1, "seconds",
         ["No barcode: the GTIN is that of firsts, and these are seconds; the label says so."]),
    ],
)  # fmt: skip
def test_what_a_label_goes_without_is_said(sheet, gtin, pairs, grade, said):
    candle = make_candle(gtin=gtin)
    pack = Pack(candle=candle, sheet=sheet, lot=make_lot(candle, grade=grade), pairs=pairs)
    assert gaps(pack) == said
    assert bool(barcode_number(pack)) is not bool(said)
    assert bool(pack_label(pack)["bars"]) is not bool(said)


def test_a_label_without_a_lot_says_what_that_costs():
    assert left_out(gtin=GTIN, retail=True, pairs=1, seconds=False, lot="")[0].startswith("No lot:")


def asked(lot, sheet, changes):
    usual = {"pairs": "1", "net_g": "", "count": "10", "start": "7", "burn": "on"}
    return {"lot": lot.pk, "sheet": sheet.pk, **usual, **changes}


def pdf_of(client, lot, sheet, changes=None):
    return client.get(f"/candles/{lot.candle_id}/labels.pdf", asked(lot, sheet, changes or {}))


def test_the_sheets_begin_where_they_are_told(client_for, sheet):
    lot = make_lot(make_candle(gtin=GTIN), code="F26-1125-03")
    response = pdf_of(client_for("packer"), lot, sheet)
    pages = [page.extract_text() for page in PdfReader(io.BytesIO(response.content)).pages]
    # Ten labels from the seventh of eight on: two, then eight.
    assert [page.count("F26-1125-03") for page in pages] == [2, 8]
    assert response.content == pdf_of(client_for("packer"), lot, sheet).content


def test_seconds_are_called_so(client_for, sheet):
    lot = make_lot(make_candle(gtin=GTIN), grade="seconds", fault="bent")
    text = PdfReader(io.BytesIO(pdf_of(client_for("packer"), lot, sheet).content)).pages[0].extract_text()
    assert "SECONDS" in text
    assert "bent" in text


@pytest.mark.parametrize(
    ("field", "value"),
    [("count", "0"), ("count", "401"), ("count", "many"), ("start", "9"), ("start", "0"), ("pairs", "0"),
     ("pairs", "501"), ("net_g", "0"), ("net_g", "x"), ("sheet", "0"), ("sheet", ""), ("lot", "0"), ("more", "magic")],
)  # fmt: skip
def test_a_wrong_request_comes_back_filled(client_for, sheet, field, value):
    response = pdf_of(client_for("packer"), make_lot(), sheet, {field: value})
    assert response.status_code == 422
    assert list(response.context["form"].errors) == [field]
    assert response.context["form"][field].value() in (value, [value])


def test_the_page_offers_the_lot_it_was_asked_for_and_as_many_labels_as_pairs(client_for, sheet):
    candle = make_candle(gtin=GTIN)
    make_lot(candle, 12)
    lot = make_lot(candle, 30)
    page = client_for("packer").get(f"/candles/{candle.pk}/labels/", {"lot": lot.pk})
    form = page.context["form"]
    assert (form["lot"].value(), form["count"].value(), form["sheet"].value()) == (lot.pk, 30, sheet.pk)
    assert "weighs 128 g net; its label carries 5 safety marks" in page.content.decode()
    assert "a test laboratory decide" in page.content.decode()


@pytest.mark.parametrize("lot", ["x", "99999999999", "0", ""])
def test_a_lot_that_is_not_one_is_no_error(client_for, sheet, lot):
    assert client_for("packer").get(f"/candles/{make_candle().pk}/labels/", {"lot": lot}).status_code == 200


def test_without_a_sheet_the_page_says_where_to_write_one_down(client_for):
    page = client_for().get(f"/candles/{make_candle().pk}/labels/").content.decode()
    assert "No sheet of labels is large enough" in page
    assert "/set-up/label-sheets/" in page
