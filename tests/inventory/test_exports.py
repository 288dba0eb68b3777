"""Whatever leaves as CSV or XLSX is harmless to open: nothing in it is run as a formula."""

import io
from pathlib import Path

import django_tables2 as tables
import pytest
from openpyxl import load_workbook

from inventory.csv_out import csv_response
from inventory.sheets import read_sheet
from inventory.xlsx_out import xlsx_response

pytestmark = pytest.mark.sqlite
EVIL = ("=1+1", "+1", "-1+2", "@SUM(A1)", "\t=1", "\r=1", "\n=1", "＝1+1")
HOUSE = Path(__file__).resolve().parents[2]


class NoteTable(tables.Table):
    note = tables.Column()
    pairs = tables.Column()


def table() -> NoteTable:
    return NoteTable([{"note": text, "pairs": -3} for text in EVIL])


def test_csv_puts_an_apostrophe_before_what_would_run_and_reading_takes_it_off():
    content = csv_response(table(), "notes").content
    assert content.decode().count("'") == len(EVIL)
    assert ",-3" in content.decode()
    kept = b"\n".join(
        line for line in content.splitlines() if line.startswith((b"\xef", b"Note", b"'+", b"'-", b"'@"))
    )
    assert [row.cells[0] for row in read_sheet(kept).rows] == ["+1", "-1+2", "@SUM(A1)"]


def test_xlsx_keeps_text_as_text_whatever_it_begins_with():
    sheet = load_workbook(io.BytesIO(xlsx_response({"Notes": table()}, "notes").content)).active
    cells = [row[0] for row in sheet.iter_rows(min_row=2)]
    assert [cell.data_type for cell in cells] == ["s"] * len(EVIL)
    assert all(cell.quotePrefix for cell in cells)


def test_no_csv_is_written_anywhere_else():
    writers = {
        str(file.relative_to(HOUSE))
        for app in ("inventory", "production", "orders")
        for file in (HOUSE / app).rglob("*.py")
        if "csv.writer(" in file.read_text(encoding="utf-8") or "DictWriter(" in file.read_text(encoding="utf-8")
    }
    assert writers == {"inventory/csv_out.py", "inventory/book_out.py"}
