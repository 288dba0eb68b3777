"""Spreadsheets as people make them, and as nobody but an attacker does."""

import io
import zipfile

from openpyxl import Workbook

SHEET_PART = "xl/worksheets/sheet1.xml"
MAIN = 'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'


def make_csv(*rows: str) -> bytes:
    return ("\n".join(rows) + "\n").encode()


def make_xlsx(*rows, shape=None, **sheets) -> bytes:
    """A workbook of the rows; `shape(worksheet)` does further things to it; further sheets by their title."""
    book = Workbook()
    for row in rows:
        book.active.append(row)
    if shape:
        shape(book.active)
    for title, more in sheets.items():
        sheet = book.create_sheet(title)
        for row in more:
            sheet.append(row)
    made = io.BytesIO()
    book.save(made)
    return made.getvalue()


def with_part(workbook: bytes, name: str, content: bytes) -> bytes:
    """The workbook with one of its parts written over."""
    made = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(workbook)) as old, zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as new:
        for part in old.infolist():
            new.writestr(part.filename, content if part.filename == name else old.read(part))
    return made.getvalue()


def sheet_part(inside: str) -> bytes:
    return f"<worksheet {MAIN}><sheetData>{inside}</sheetData></worksheet>".encode()
