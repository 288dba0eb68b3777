import io
import threading
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.test import override_settings
from pypdf import PdfReader

from inventory.pair_svg import draw_pair
from inventory.pdf_making import FETCHER, STATIC, RefusedAddress
from inventory.printing import render_pdf
from orders.cover import Cover
from orders.cover_svg import draw_cover

PAPER = """{% extends "print/base.html" %}
{% block title %}Note {{ paper.number }}{% endblock %}
{% block which %}Note {{ paper.number }}{% endblock %}
{% block foot %}2 Tallow Lane{% endblock %}
{% block head %}{% include "print/letterhead.html" with to=paper.to sender=paper.sender %}{% endblock %}
{% block body %}<table><thead><tr><th>Candle</th><th class="num">Pairs</th></tr></thead><tbody>
{% for row in paper.rows %}<tr><td>{{ row }} {{ pictures }}</td><td class="num">24</td></tr>
{% endfor %}</tbody><tbody class="totals"><tr><td>All pairs</td><td class="num">24</td></tr></tbody>
</table>{% endblock %}"""

BRINK = range(22, 26)  # rows that just do and just do not fit on the first page


@pytest.fixture
def paper_template(settings):
    """render_pdf over a paper of the tests' own."""
    settings.TEMPLATES = [
        {
            **settings.TEMPLATES[0],
            "APP_DIRS": False,
            "OPTIONS": {
                "builtins": ["config.templatetags.wickturn"],
                "loaders": [
                    (
                        "django.template.loaders.locmem.Loader",
                        {"paper.html": PAPER, "bare.html": "{{ page|safe }}"},
                    ),
                    "django.template.loaders.filesystem.Loader",
                ],
            },
        }
    ]
    return "paper.html"


def content(rows: int = 3, **more) -> dict:
    return {
        "paper": {
            "number": "DN-1042",
            "workshop": {"name": "Tallow Lane Candles"},
            "to": ["The Lamp Room", "4 Tanner Row"],
            "sender": ["2 Tallow Lane"],
            "rows": [f"Candle {n}" for n in range(rows)],
        },
        **more,
    }


def pages_of(pdf: bytes) -> list[str]:
    return [page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages]


def test_a_paper_carries_its_head_foot_and_page_on_every_page(paper_template):
    pages = pages_of(render_pdf(paper_template, content(rows=90)))
    assert len(pages) == 4
    for number, text in enumerate(pages, start=1):
        assert "Tallow Lane Candles" in text
        assert "Note DN-1042" in text
        assert "2 Tallow Lane" in text
        assert f"Page {number} of 4" in text
        assert "Candle\nPairs" in text or "Candle Pairs" in text


def test_sums_never_stand_alone_on_a_page(paper_template):
    lengths = set()
    for rows in BRINK:
        pages = pages_of(render_pdf(paper_template, content(rows)))
        lengths.add(len(pages))
        assert f"Candle {rows - 1}" in pages[-1]
        assert "All pairs" in pages[-1]
    assert lengths == {1, 2}, "the rows tried no longer lie about the foot of the first page"


def test_a_paper_is_a4_with_a_title(paper_template):
    reader = PdfReader(io.BytesIO(render_pdf(paper_template, content())))
    width, height = (float(side) / 72 * 25.4 for side in reader.pages[0].mediabox[2:])
    assert (width, height) == (pytest.approx(210, abs=0.1), pytest.approx(297, abs=0.1))
    assert reader.metadata.title == "Note DN-1042"
    assert reader.metadata.creation_date is None


def test_house_fonts_are_embedded(paper_template):
    fonts = PdfReader(io.BytesIO(render_pdf(paper_template, content()))).pages[0]["/Resources"]["/Font"]
    names = {font.get_object()["/BaseFont"].partition("+")[2] for font in fonts.values()}
    assert all(name.startswith(("Atkinson-Hyperlegible-Next", "Vollkorn")) for name in names)
    assert {name[0] for name in names} == {"A", "V"}


def test_the_same_content_gives_the_same_bytes_in_any_thread(paper_template):
    once = render_pdf(paper_template, content())
    with ThreadPoolExecutor(3) as threads:
        again = list(threads.map(lambda _: render_pdf(paper_template, content()), range(4)))
    assert again == [once] * 4
    assert render_pdf(paper_template, content(rows=4)) != once


def test_no_font_is_cut_by_the_hour(paper_template, monkeypatch):
    from fontTools.ttLib.tables import _h_e_a_d

    monkeypatch.setattr(_h_e_a_d, "timestampNow", lambda: 0)
    then = render_pdf(paper_template, content())
    monkeypatch.setattr(_h_e_a_d, "timestampNow", lambda: 3_900_000_000)
    assert render_pdf(paper_template, content()) == then


def test_pictures_print(paper_template):
    pair = draw_pair(length_mm=250, base_mm=22, tip_mm=16, colour="#9c2f2a", second=True)
    bar = draw_cover(Cover(1, 1, 1, 1, 1))
    plain = PdfReader(io.BytesIO(render_pdf(paper_template, content(1)))).pages[0]
    drawn = PdfReader(io.BytesIO(render_pdf(paper_template, content(1, pictures=pair + bar)))).pages[0]
    assert len(drawn.get_contents().get_data()) > len(plain.get_contents().get_data()) + 500


def test_what_is_written_is_escaped(paper_template):
    text = pages_of(render_pdf(paper_template, content(1, pictures="<img src=x>")))[0]
    assert "<img src=x>" in text


@pytest.mark.parametrize(
    "url",
    [
        "http://lamp.example/a.css",
        "https://lamp.example/a.woff2",
        "ftp://lamp.example/a.css",
        "file:///etc/passwd",
        "file://lamp.example/etc/a.css",
        f"{STATIC.as_uri()}/../settings.py",
        f"{STATIC.as_uri()}/css/../../../manage.py",
        f"{STATIC.as_uri()}/css/%2e%2e/%2e%2e/settings.py",
        f"{STATIC.as_uri()}/fonts/vollkorn-OFL.txt",
        f"{STATIC.as_uri()}/js/base.js",
        f"{STATIC.as_uri()}/css/none.css",
        f"{STATIC.as_uri()}/css",
        "data:text/css,body{}",
        "data:image/svg+xml,<svg/>",
        "css/base.css",
        "",
    ],
)
def test_every_other_address_is_refused(url):
    with pytest.raises(RefusedAddress):
        FETCHER.fetch(url)


def test_a_link_out_of_the_folder_is_refused(tmp_path, monkeypatch):
    secret = tmp_path / "secret.css"
    secret.write_text("body{}")
    house = tmp_path / "static"
    house.mkdir()
    (house / "way_out.css").symlink_to(secret)
    monkeypatch.setattr("inventory.pdf_making.STATIC", house)
    with pytest.raises(RefusedAddress):
        FETCHER.fetch((house / "way_out.css").as_uri())


def test_sheets_and_fonts_are_served():
    sheet = FETCHER.fetch(f"{STATIC.as_uri()}/css/print.css")
    assert sheet.content_type == "text/css"
    assert b"@page" in sheet.read()
    font = FETCHER.fetch(f"{STATIC.as_uri()}/fonts/vollkorn-latin-600-normal.woff2")
    assert font.read(4) == b"wOF2"


def test_a_page_that_asks_for_a_file_of_the_machine_prints_without_it(paper_template, tmp_path):
    secret = tmp_path / "secret.txt"
    secret.write_text("wick and wax")
    page = (
        f'<link rel="attachment" href="{secret.as_uri()}"><img src="{secret.as_uri()}">'
        f'<object data="{secret.as_uri()}"></object><p>Here</p>'
    )
    pdf = render_pdf("bare.html", {"page": page})
    assert "Here" in pages_of(pdf)[0]
    assert not PdfReader(io.BytesIO(pdf)).attachments
    assert b"wick and wax" not in pdf


@override_settings(DEBUG=True)
def test_debug_changes_nothing_on_paper(paper_template):
    with override_settings(DEBUG=False):
        plain = render_pdf(paper_template, content())
    assert render_pdf(paper_template, content()) == plain


def test_the_house_sheets_hold_nothing_the_printer_cannot_read(paper_template, caplog, monkeypatch):
    monkeypatch.setattr("inventory.pdf_making._kept", threading.local())
    render_pdf(paper_template, content())
    assert [record.getMessage() for record in caplog.records if record.levelname != "DEBUG"] == []


def test_a_pair_drawn_before_prints_the_same_again(paper_template, monkeypatch):
    pairs = [
        draw_pair(length_mm=250, base_mm=22, tip_mm=16, colour=c, second=c > "#9") for c in ("#9c2f2a", "#123456")
    ]
    first = render_pdf(paper_template, content(3, pictures=pairs[0]))
    other = render_pdf(paper_template, content(3, pictures=pairs[1] + pairs[0]))
    monkeypatch.setattr("inventory.pdf_making._kept", threading.local())
    assert render_pdf(paper_template, content(3, pictures=pairs[1] + pairs[0])) == other
    assert render_pdf(paper_template, content(3, pictures=pairs[0])) == first
    assert b"0.6117" in PdfReader(io.BytesIO(first)).pages[0].get_contents().get_data()  # 9c of 255, the wax


def test_a_sheet_that_a_paper_links_has_the_last_word():
    """The week's plan for the wall lies across, whatever the house's own sheet says of pages."""
    lies = {"print/plan_sheet.html": True, "print/stock_count.html": False}
    for template, across in lies.items():
        leaf = PdfReader(io.BytesIO(render_pdf(template, {"days": []}))).pages[0].mediabox
        assert (leaf.width > leaf.height) is across, template
