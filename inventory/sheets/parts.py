"""What a spreadsheet turns into, and how much of one is read. No Django."""

import re
import time
from dataclasses import dataclass

MOST_BYTES = 10_000_000
MOST_UNPACKED = 100_000_000
MOST_ROWS = 50_000
MOST_SECONDS = 30
HEADING_WITHIN = 12  # rows that hold anything, in which the headings are looked for
MOST_COLUMNS = 200
MOST_CELLS = 1_000_000  # filled ones: beyond it the cells alone would take hundreds of MB
LONGEST_CELL = 4_000
MOST_FAULTS = 200

# What a spreadsheet takes for a formula, also in the wide signs of East Asian keyboards. Exports put an apostrophe
# before it (inventory/csv_out.py), which comes off again here.
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
ERRORS = {"#N/A", "#REF!", "#VALUE!", "#NAME?", "#DIV/0!", "#NULL!", "#NUM!", "#SPILL!", "#CALC!"}
# Half a sign of UTF-16, which no database keeps, can come as an escape of XLSX (_xD800_).
_CONTROLS = dict.fromkeys([*range(9), *range(11, 32), 127, 0xFEFF, 0x200B, *range(0xD800, 0xE000)])


class SheetRefused(Exception):
    """The file cannot be taken as it is. `faults`: a sentence each, in the order of the file."""

    def __init__(self, *faults: str):
        super().__init__(faults[0])
        shown = list(faults[:MOST_FAULTS])
        if len(faults) > MOST_FAULTS:
            shown.append(f"And {len(faults) - MOST_FAULTS:,} more.")
        self.faults = shown


def too_many_rows() -> SheetRefused:
    return SheetRefused(f"The file has more than {MOST_ROWS:,} rows. Split it.")


@dataclass(frozen=True)
class Row:
    """`number`: the row as a spreadsheet counts it, from 1. `cells` without the blank ones at the end."""

    number: int
    cells: tuple[str, ...]

    def cell(self, column: int) -> str:
        """The text of a column (0 is A); "" beyond the last filled one."""
        return self.cells[column] if column < len(self.cells) else ""


@dataclass(frozen=True)
class Grid:
    """One sheet of a file, every row that holds anything.

    All cells are text without blanks round it: numbers without grouping ("12", "2.5"), percentages as "12.5%", days
    as 2026-12-09, yes or no for true and false, an error as "#REF!". A cell with a formula is its formula ("=A2*12",
    never its result): take care what is made of it. `merged`: ranges such as "B4:C6".
    """

    title: str
    rows: tuple[Row, ...]
    merged: tuple[str, ...] = ()
    hidden: bool = False


@dataclass(frozen=True)
class Sheet:
    """The rows of one kind under their headings.

    `rows` are those below the headings that hold anything, each as wide as its last filled cell. `left_out`: names of
    further sheets of the file that hold something and were not read.
    """

    title: str
    heading_row: int
    headings: tuple[str, ...]
    rows: tuple[Row, ...]
    left_out: tuple[str, ...] = ()


class Clock:
    """Stops what takes too long. `what`: "Reading the file"."""

    def __init__(self, seconds: float = MOST_SECONDS, what: str = "Reading the file"):
        self.seconds, self.what = seconds, what
        self.ends = time.monotonic() + seconds

    def check(self) -> None:
        if time.monotonic() > self.ends:
            raise SheetRefused(
                f"{self.what} takes longer than {self.seconds:.0f} seconds. Copy the rows into a new, plain sheet, or "
                "split it."
            )


def column_letter(column: int) -> str:
    """The letter over a column: 0 is A, 26 is AA."""
    letters = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


def place_of(row: int, column: int) -> str:
    """A cell as a spreadsheet names it: row 7, column 1 is B7."""
    return f"{column_letter(column)}{row}"


def cleaned(text: str) -> str:
    """A cell's text: no control signs, no blanks round it, and without the apostrophe our own exports put before
    what a spreadsheet would run as a formula.
    """
    text = text.replace("\r\n", "\n").replace("\r", "\n").translate(_CONTROLS).replace("\xa0", " ").strip()
    if text.startswith("'") and text[1:].startswith(FORMULA_STARTS):
        text = text[1:].strip()
    return re.sub(r"[ \t]*\n\s*", "\n", text) if "\n" in text else text


def trimmed(cells: list[str]) -> tuple[str, ...]:
    """The cells without the blank ones at the end."""
    last = len(cells)
    while last and not cells[last - 1]:
        last -= 1
    return tuple(cells[:last])


class RowKeeper:
    """Collects rows and refuses as soon as there are too many rows, columns or filled cells."""

    def __init__(self, title: str = ""):
        self.rows: list[Row] = []
        self.filled = 0
        self.of = f" of sheet “{title}”" if title else ""

    def keep(self, number: int, cells: list[str]) -> None:
        """Keep a row that holds anything; `cells` are cleaned."""
        found = trimmed(cells)
        if not found:
            return
        if len(found) > MOST_COLUMNS:
            raise SheetRefused(f"Row {number}{self.of} has more than {MOST_COLUMNS} columns.")
        if len(self.rows) == MOST_ROWS + HEADING_WITHIN:
            raise too_many_rows()
        self.filled += sum(1 for cell in found if cell)
        if self.filled > MOST_CELLS:
            raise SheetRefused(f"The file has more than {MOST_CELLS:,} filled cells. Split it.")
        for column, cell in enumerate(found):
            if len(cell) > LONGEST_CELL:
                where = place_of(number, column)
                raise SheetRefused(
                    f"Cell {where}{self.of} holds {len(cell):,} signs, at most {LONGEST_CELL:,}. "
                    "Is a quotation mark left open?"
                )
        self.rows.append(Row(number, found))
