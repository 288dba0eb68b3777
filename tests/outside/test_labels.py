"""Labels as paper: rendered, drawn at 300 dots an inch, measured as with a rule and read back by a scanner's library.

What a label has to carry: TRADE S-1 to S-4 (EN 15494 in the words of an association's list and a testing house's
notice; the standard itself was not read). Net weight and burning: TRADE Z4, P8, B1.
"""

import io
import os
from decimal import Decimal
from pathlib import Path

import pytest
from pypdf import PdfReader
from weasyprint import HTML

from inventory.barcode_svg import draw_ean, draw_gs1_128
from inventory.label_layout import EDGE_MM
from inventory.safety_svg import MORE, marks_for
from orders.domain.case_labels import number_cases
from orders.queries.case_labels import case_label, case_row, closed_boxes
from production.burning import burn_hours, burn_rate
from production.queries.pack_labels import Pack, pack_label
from tests.factories import make_candle, make_lot, make_wax, make_workshop
from tests.factories.labels import (
    blots,
    drawn,
    label_cut,
    make_label_sheet,
    make_large_sheet,
    print_cases,
    print_packs,
    read_bars,
)
from tests.factories.season import make_season

pytestmark = [pytest.mark.django_db, pytest.mark.sqlite]
GTIN = "2900000000018"  # of the restricted range: it means nothing outside the house
SMALLEST_MM = 5  # TRADE S-4
A_HAIR = 0.1  # mm, about one dot at 300 an inch


def kept(picture, name):
    """Kept where somebody wants to look at it: WICKTURN_KEEP names a folder."""
    if folder := os.environ.get("WICKTURN_KEEP"):
        picture.save(Path(folder, f"{name}.png"))
    return picture


def dinner_candle(**fields):
    """TRADE Z4 and P8: 250 x 22/16 mm of paraffin at 0.90 g/cm3 weighs 64.32 g."""
    wax = make_wax(density_solid=Decimal("0.900"))
    return make_candle(wax=wax, length_mm=250, base_mm=22, tip_mm=16, gtin=GTIN, **fields)


def test_a_packs_label_is_read_back_and_its_marks_are_high_enough():
    make_workshop()
    candle, sheet = dinner_candle(), make_label_sheet()
    label = pack_label(Pack(candle=candle, sheet=sheet, lot=make_lot(candle, code="F26-1125-03")))
    page = kept(drawn(print_packs(sheet, label, count=3, start=6)), "packs")
    assert read_bars(page) == [("]E0", GTIN)] * 3
    for place in (6, 7, 8):
        found = blots(label_cut(page, sheet, place))
        # The sign, three that always stand and the holder: each drawn in one piece, as high as wide.
        marks = [blot for blot in found if blot[3] >= SMALLEST_MM and abs(blot[2] - blot[3]) < 3 * A_HAIR]
        assert len(marks) == len(marks_for(needs_holder=True)) == 5
        assert all(height == pytest.approx(7, abs=3 * A_HAIR) for *_, height in marks)
    assert not blots(label_cut(page, sheet, 5)), "a label used before is printed over"


def test_with_every_mark_each_is_still_high_enough():
    make_workshop()
    candle, sheet = dinner_candle(), make_large_sheet()
    label = pack_label(Pack(candle=candle, sheet=sheet, more=tuple(mark.key for mark in MORE)))
    page = kept(drawn(print_packs(sheet, label)), "every-mark")
    marks = [blot for blot in blots(page) if 5.5 < blot[3] < 6.5 and abs(blot[2] - blot[3]) < 3 * A_HAIR]
    assert len(marks) == 11


def test_an_ean_has_its_full_size_bars_and_quiet_zones():
    """0.33 mm a module, 11 and 7 of them kept free, bars 22.85 mm high: GS1's usual sizes, from memory."""
    make_workshop()
    candle, sheet = dinner_candle(), make_label_sheet()
    label = pack_label(Pack(candle=candle, sheet=sheet))
    found = blots(label_cut(drawn(print_packs(sheet, label)), sheet))
    bars = sorted(blot for blot in found if blot[3] > 22 and blot[2] < 2)
    assert len(bars) == 30  # 24 of the digits, 6 of the guards
    assert min(blot[3] for blot in bars) == pytest.approx(22.85, abs=A_HAIR)
    left, right, top = bars[0][0], bars[-1][0] + bars[-1][2], bars[0][1]
    assert right - left == pytest.approx(95 * 0.33, abs=2 * A_HAIR)
    beside = [blot for blot in found if left - 11 * 0.33 < blot[0] + blot[2] < left and top < blot[1] < top + 22.85]
    assert beside == [], "something stands in the quiet zone before the bars"


@pytest.mark.parametrize("room", [29.9, 33.4, 37.5])
def test_a_smaller_ean_is_read_back(room):
    assert read_bars(drawn(_alone(draw_ean(GTIN, room_mm=room)))) == [("]E0", GTIN)]
    assert read_bars(drawn(_alone(draw_ean("96385074", room_mm=room)))) == [("]E4", "96385074")]


@pytest.mark.parametrize(
    ("text", "raw"),
    [
        # STANDARDS 4.3: the strings that were tried with this library, and what a scanner is to hear.
        ("(02)06291041500213(37)24(10)LOT42A", "(02)06291041500213(37)24(10)LOT42A"),
        ("(01)16291041500210(3103)001250(10)B7", "(01)16291041500210(3103)001250(10)B7"),
        ("(00)106141411234567897", "(00)106141411234567897"),
    ],
)
def test_gs1_128_is_read_back_as_gs1(text, raw):
    assert read_bars(drawn(_alone(draw_gs1_128(text, room_mm=91, tall_mm=25)))) == [("]C1", raw)]


def _alone(svg) -> bytes:
    """A drawing by itself on a page."""
    return HTML(string=f"<body>{svg}</body>").write_pdf()


@pytest.mark.parametrize("prefix", ["2900000", ""])
@pytest.mark.parametrize(("width", "height", "columns"), [("99", "130", 2), ("210", "148.5", 1)])
def test_a_cases_label_is_read_back(prefix, width, height, columns):
    season = make_season()
    make_workshop(gs1_prefix=prefix)
    season.candle.gtin = GTIN
    season.candle.save()
    sheet = make_large_sheet(label_w_mm=Decimal(width), label_h_mm=Decimal(height), columns=columns)
    numbered = number_cases(delivery=season.waiting, by=season.by)
    row = case_row(closed_boxes(season.waiting)[0])
    pdf = print_cases(sheet, [case_label(row, sheet)], start=2)
    page = kept(drawn(pdf), f"case-{width}-{prefix or 'bare'}")
    # 24 pairs to a box: the box is full. Without a number of its own it is named as a grouping of its candle.
    content = f"(02)0{GTIN}(37)24(10)L-1" if prefix else "(01)12900000000015(10)L-1"
    assert read_bars(page) == [("]C1", content), *(("]C1", f"(00){each.sscc}") for each in numbered)]
    assert _lowest(label_cut(page, sheet, 2)) < float(sheet.label_h_mm - EDGE_MM)


def test_a_label_with_the_longest_words_keeps_within_its_edge():
    """What the words about room let pass does not run out of the label: the last line, its maker, stands whole."""
    make_workshop(name="The Old Chandlery of Upper Wexcombe and Candleyard", address="2 Tallow Lane\nThe Yard")
    sheet = make_label_sheet(label_w_mm=Decimal(88), label_h_mm=Decimal(68), gap_x_mm=Decimal(4))
    for name in ("Beeswax taper 300 x 22", "Ivory taper of the long kind 250 x 22, a little "):
        label = pack_label(Pack(candle=make_candle(name=name), sheet=sheet))
        page = kept(drawn(print_packs(sheet, label)), f"longest-{len(name)}")
        assert _lowest(label_cut(page, sheet)) < float(sheet.label_h_mm - EDGE_MM) + A_HAIR


def _lowest(label) -> float:
    """How far down anything is drawn, in mm."""
    return max(top + height for _, top, _, height in blots(label))


def test_burning_by_the_published_rate():
    """TRADE B1: 64.32 g at 6 g an hour burn 10.72 h; P8: the mass itself."""
    candle = dinner_candle()
    assert candle.grams_a_pair / 2 == Decimal("64.32")
    assert burn_hours(Decimal("64.32"), burn_rate(None).g_hour) == Decimal("10.72")


def test_what_a_tapers_label_has_to_show():
    """TRADE S-1, S-2 and section 6, 10: warning sign, never unattended, away from fire, children and pets, holder."""
    assert [mark.key for mark in marks_for(needs_holder=True)] == [
        "warning", "unattended", "fire", "children", "holder"
    ]  # fmt: skip


def test_a_mixed_cases_label_holds_its_words_and_its_number():
    season = make_season()
    make_workshop(gs1_prefix="2900000", name="The Old Chandlery of Upper Wexcombe")
    number_cases(delivery=season.waiting, by=season.by)
    row = case_row(closed_boxes(season.waiting)[0])
    line = {
        **row["slip"]["contents"][0],
        "name": "Stearin white taper of the long kind 300 x 22",
        "lot": "F26-1125-03",
    }
    row["slip"]["contents"] = [line] * 40
    row["slip"]["shop"]["address"] = [
        "The Old Corn Exchange",
        "44 Upper Tanner Row",
        "Orrin Bay",
        "Wexcombeshire",
        "ZZ2 2BB",
    ]
    sheet = make_large_sheet(label_w_mm=Decimal(99), label_h_mm=Decimal(130), columns=2)
    label = case_label({**row, "bars": row["bars"][-1:], "lifting": "HEAVY: two people or a trolley."}, sheet)
    pdf = print_cases(sheet, [label])
    page = kept(drawn(pdf), "case-mixed")
    text = PdfReader(io.BytesIO(pdf)).pages[0].extract_text()
    assert text.count("F26-1125-03") == len(label["shown"]) >= 3
    assert f"and {label['more']} more" in text
    assert [kind for kind, _ in read_bars(page)] == ["]C1"]
    assert _lowest(label_cut(page, sheet)) < float(sheet.label_h_mm - EDGE_MM)
