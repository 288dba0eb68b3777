"""Many long tables into one file, written row by row: neither the rows nor the file are ever held in memory."""

import csv
import io
import zipfile
from collections.abc import Iterable
from typing import IO

from openpyxl import Workbook
from openpyxl.cell import WriteOnlyCell

from inventory.csv_out import harmless
from inventory.sheets.parts import FORMULA_STARTS
from inventory.signs import for_xml
from inventory.xlsx_out import TITLE_LENGTH

# What XLSX can hold in a sheet (less its headings) and in a cell.
MOST_SHEET_ROWS, LONGEST_TEXT = 1_000_000, 32_767
CUT = " … cut: a cell of XLSX holds no more; the CSV has all of it"


def write_xlsx(file: IO[bytes], tables: Iterable[tuple[str, Iterable[list]]]) -> None:
    """A workbook with a sheet for each (title, rows), the headings first; a table too long for one sheet goes on in
    further ones. Text stays text whatever it begins with.
    """
    book = Workbook(write_only=True)
    for title, rows in tables:
        sheet, number, headings = None, 0, []
        for count, row in enumerate(rows):
            if count == 0:
                headings = row
            if count % MOST_SHEET_ROWS == 0:
                number += 1
                end = f" {number}" if number > 1 else ""
                sheet = book.create_sheet(title[: TITLE_LENGTH - len(end)] + end)
                sheet.freeze_panes = "A2"
                if count:
                    sheet.append([_cell(sheet, value) for value in headings])
            sheet.append([_cell(sheet, value) for value in row])
    book.save(file)


def write_csv_zip(file: IO[bytes], tables: Iterable[tuple[str, Iterable[list]]]) -> None:
    """A zip with a CSV for each (name, rows), harmless to open in a spreadsheet."""
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as made:
        for name, rows in tables:
            with made.open(f"{name}.csv", "w") as part, io.TextIOWrapper(part, "utf-8", newline="") as text:
                text.write("\ufeff")
                writer = csv.writer(text)
                for row in rows:
                    writer.writerow([harmless(value) for value in row])


def _cell(sheet, value):
    if not isinstance(value, str):
        return value
    text = for_xml(value)
    if len(text) > LONGEST_TEXT:
        text = text[: LONGEST_TEXT - len(CUT)] + CUT
    if not text.startswith(FORMULA_STARTS):
        return text
    cell = WriteOnlyCell(sheet, text)
    cell.data_type, cell.quotePrefix = "s", True
    return cell
