"""Label sheets, and labels as pictures: a PDF drawn, its marks measured, its bars read back."""

import io
from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import numpy as np
import pypdfium2
import zxingcpp
from django.utils import timezone
from PIL import Image
from scipy import ndimage

from inventory.label_layout import CASE, PACK, style_of
from inventory.label_sheets import lay_out
from inventory.models import LabelSheet
from inventory.printing import render_pdf
from production.domain.burn_tests import add_cycle, begin_test
from production.models import BurnTest
from tests.factories.house import make_candle, make_person

DPI = 300


def make_label_sheet(**fields) -> LabelSheet:
    """Eight to an A4 page, 99.1 x 67.7 mm."""
    values = {
        "name": "8 to A4",
        "columns": 2,
        "rows": 4,
        "label_w_mm": Decimal("99.1"),
        "label_h_mm": Decimal("67.7"),
        "left_mm": Decimal("4.7"),
        "top_mm": Decimal("13.1"),
        "gap_x_mm": Decimal("2.4"),
        **fields,
    }
    return LabelSheet.objects.create(**values)


def make_large_sheet(**fields) -> LabelSheet:
    """Two to an A4 page."""
    halves = {"columns": 1, "rows": 2, "label_w_mm": Decimal(210), "label_h_mm": Decimal("148.5")}
    return make_label_sheet(**{"name": "2 to A4", **halves, "left_mm": 0, "top_mm": 0, "gap_x_mm": 0, **fields})


def print_packs(sheet: LabelSheet, label: dict, count: int = 1, start: int = 1) -> bytes:
    one = render_pdf("print/pack_labels.html", {"label": label, "title": "x"}, style=style_of(sheet, least=PACK))
    return lay_out(one, sheet=sheet, start=start, times=count)


def print_cases(sheet: LabelSheet, labels: list[dict], start: int = 1) -> bytes:
    content = {"labels": labels, "of": len(labels), "title": "x"}
    drawn_once = render_pdf("print/case_labels.html", content, style=style_of(sheet, least=CASE))
    return lay_out(drawn_once, sheet=sheet, start=start)


def drawn(pdf: bytes, page: int = 0) -> Image.Image:
    """A page as a grey picture at 300 dots an inch."""
    return pypdfium2.PdfDocument(io.BytesIO(pdf))[page].render(scale=DPI / 72).to_pil().convert("L")


def label_cut(picture: Image.Image, sheet: LabelSheet, place: int = 1) -> Image.Image:
    """One label cut out of its page."""
    row, column = divmod(place - 1, sheet.columns)
    left = sheet.left_mm + column * (sheet.label_w_mm + sheet.gap_x_mm)
    top = sheet.top_mm + row * (sheet.label_h_mm + sheet.gap_y_mm)
    edges = (left, top, left + sheet.label_w_mm, top + sheet.label_h_mm)
    return picture.crop(tuple(round(float(mm) * DPI / 25.4) for mm in edges))


def blots(picture: Image.Image) -> list[tuple[float, float, float, float]]:
    """What is drawn in one piece, as (left, top, width, height) in mm."""
    dark = np.array(picture) < 128
    found = ndimage.find_objects(ndimage.label(dark, structure=np.ones((3, 3)))[0])
    mm = 25.4 / DPI
    return [(x.start * mm, y.start * mm, (x.stop - x.start) * mm, (y.stop - y.start) * mm) for y, x in found]


def read_bars(picture: Image.Image) -> list[tuple[str, str]]:
    """(symbology, text) of every barcode on the picture, from the top."""
    found = zxingcpp.read_barcodes(np.array(picture))
    found.sort(key=lambda bar: bar.position.top_left.y)
    return [(bar.symbology_identifier, bar.text) for bar in found]


def make_burn_test(candle=None, *, by=None, masses=("64.3", "64.1", "64.5"), **fields) -> BurnTest:
    """Begun ten days ago through the domain's door, nothing burnt yet."""
    return begin_test(
        candle=candle or make_candle(),
        masses=[Decimal(mass) for mass in masses],
        begun_on=timezone.localdate() - timedelta(days=10),
        submission=uuid4(),
        by=by or make_person("dipper"),
        **fields,
    )


def burn(test: BurnTest, sample: int, mass_g: str, *, by=None, **values):
    """One burn of a sample as planned: 240 min after an hour's rest, down to `mass_g`."""
    usual = {
        "rest_min": 60,
        "minutes": 240,
        "flame_mm": 40,
        "glow_s": Decimal(12),
        "relit": False,
        "soot_index": None,
        "note": "",
        "burnt_on": timezone.localdate() - timedelta(days=5),
    }
    values = {**usual, **values, "mass_g": Decimal(mass_g)}
    return add_cycle(test=test, sample=sample, values=values, submission=uuid4(), by=by or make_person("dipper"))
