"""Tables as a workbook of XLSX, a sheet each."""

import io
from collections.abc import Iterable, Mapping
from datetime import date, datetime
from decimal import Decimal

from django.http import HttpResponse
from django.utils import timezone
from openpyxl import Workbook
from openpyxl.styles import Font

from inventory.sheets.parts import FORMULA_STARTS
from inventory.signs import for_xml

TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
WIDEST, TITLE_LENGTH = 60, 31


def xlsx_response(tables: Mapping[str, object], name: str) -> HttpResponse:
    """django-tables2 tables by the name of their sheet, all rows, as a file named after `name` and today."""
    return rows_response({title: table.as_values() for title, table in tables.items()}, name)


def rows_response(sheets: Mapping[str, Iterable[Iterable]], name: str) -> HttpResponse:
    """Rows by the name of their sheet, the first its headings, as a file named after `name` and today.

    Amounts are numbers with two decimals, days are dates, and text stays text whatever it begins with.
    """
    book = Workbook(write_only=False)
    book.remove(book.active)
    # Without a fixed moment two copies of the same books would differ.
    book.properties.created = book.properties.modified = datetime(2000, 1, 1)
    for title, rows in sheets.items():
        _fill(book.create_sheet(title[:TITLE_LENGTH]), rows)
    made = io.BytesIO()
    book.save(made)
    response = HttpResponse(made.getvalue(), content_type=TYPE)
    response["Content-Disposition"] = f'attachment; filename="{name}-{timezone.localdate()}.xlsx"'
    return response


def _fill(sheet, rows: Iterable[Iterable]) -> None:
    widths: dict[int, int] = {}
    for n, row in enumerate(rows, start=1):
        for column, value in enumerate(row, start=1):
            cell = sheet.cell(row=n, column=column)
            _put(cell, value)
            widths[column] = min(WIDEST, max(widths.get(column, 8), len(str(cell.value or "")) + 2))
            if n == 1:
                cell.font = Font(bold=True)
    for column, width in widths.items():
        sheet.column_dimensions[sheet.cell(row=1, column=column).column_letter].width = width
    sheet.freeze_panes = "A2"


def _put(cell, value) -> None:
    if isinstance(value, Decimal):
        cell.value, cell.number_format = value, "#,##0.00"
    elif isinstance(value, date | int) or value is None:
        cell.value = value
    else:
        cell.value = for_xml(str(value))
        # openpyxl takes what begins with "=" for a formula; so does a spreadsheet once somebody edits the cell.
        cell.data_type = "s"
        if cell.value.startswith(FORMULA_STARTS):
            cell.quotePrefix = True
