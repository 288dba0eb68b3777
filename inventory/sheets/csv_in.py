"""CSV as spreadsheets of any country write it: commas, semicolons, tabs or bars; UTF-8, UTF-16 or the Windows code
page. No Django.
"""

import codecs
import csv
import io
import re
from collections import Counter

from inventory.sheets.parts import MOST_ROWS, Clock, Grid, RowKeeper, SheetRefused, cleaned

SEPARATORS = (",", ";", "\t", "|")
TRIED_ROWS = 200  # rows looked at to find the separator
CLOCK_ROWS = 500
csv.field_size_limit(1_000_000)


def read_csv(data: bytes, clock: Clock) -> Grid:
    """The rows of a CSV file. SheetRefused for what is no text, and where a quotation mark is left open."""
    text = decoded(data)
    # Spreadsheets write their separator so before the first row; it is no row of the sheet.
    said = re.match(r"sep=(.)\r?\n", text)
    separator = said[1] if said else _separator(text)
    keeper = RowKeeper()
    number = 0
    try:
        for number, cells in enumerate(_records(text[said.end() :] if said else text, separator), start=1):
            if number % CLOCK_ROWS == 0:
                clock.check()
            if number > 20 * MOST_ROWS:
                raise SheetRefused("The file goes on and on with empty rows. Copy the filled ones into a new sheet.")
            keeper.keep(number + bool(said), [cleaned(cell) for cell in cells])
    except csv.Error:
        raise SheetRefused(
            f"After row {number + bool(said)} a quotation mark is left open, or text stands behind a closed one. "
            "Mend the row, or save the file as XLSX."
        ) from None
    return Grid("", tuple(keeper.rows))


def decoded(data: bytes) -> str:
    """The file's text. SheetRefused for what is no text."""
    encoding = "utf-16" if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)) else "utf-8-sig"
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError:
        text = data.decode("cp1252", errors="replace")
    if "\x00" in text:
        raise SheetRefused("This is neither a CSV nor an XLSX file. Save it from the spreadsheet as one of the two.")
    return text


def _records(text: str, separator: str):
    # strict: an open quotation mark would swallow the rows after it unseen.
    return csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)


def _separator(text: str) -> str:
    """The one that cuts the first rows into the same number of cells, more than one; a comma where none does."""
    head = "".join(text.splitlines(keepends=True)[:TRIED_ROWS])

    def fit(separator: str) -> tuple[int, int]:
        widths: Counter[int] = Counter()
        try:
            for cells in _records(head, separator):
                widths[len(cells)] += 1
        except csv.Error:
            pass
        width, rows = max(
            ((w, n) for w, n in widths.items() if w > 1), key=lambda one: (one[1], one[0]), default=(0, 0)
        )
        return rows, width

    return max(SEPARATORS, key=fit)
