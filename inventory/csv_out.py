"""Tables as CSV, for a spreadsheet."""

import csv
from collections.abc import Iterable
from itertools import chain

from django.http import HttpResponse
from django.utils import timezone

from inventory.sheets.parts import FORMULA_STARTS


def csv_response(table, name: str) -> HttpResponse:
    """The rows of a django-tables2 table, all pages, as a file named after `name` and today. UTF-8 with a mark, so
    that spreadsheets read accents right. Columns with `exclude_from_export` are left out.
    """
    headings, *rows = table.as_values()
    return rows_as_csv(headings, rows, name)


def rows_as_csv(headings: Iterable, rows: Iterable[Iterable], name: str) -> HttpResponse:
    """The same of plain rows: where there are tens of thousands, a table would take seconds."""
    response = HttpResponse(content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="{name}-{timezone.localdate()}.csv"'
    response.write("\ufeff")
    writer = csv.writer(response)
    for row in chain([headings], rows):
        writer.writerow([harmless(cell) for cell in row])
    return response


def harmless(cell):
    """The cell as it may stand in a CSV: a spreadsheet would run text that begins like a formula, so an apostrophe is
    put before it.
    """
    return f"'{cell}" if isinstance(cell, str) and cell.startswith(FORMULA_STARTS) else cell
