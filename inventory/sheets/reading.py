"""A file in, the rows under their headings out. No Django."""

import re
from collections.abc import Iterable

from inventory.sheets.csv_in import read_csv
from inventory.sheets.parts import (
    ERRORS,
    HEADING_WITHIN,
    MOST_BYTES,
    MOST_ROWS,
    Clock,
    Grid,
    Sheet,
    SheetRefused,
    place_of,
    too_many_rows,
)

ZIP, OLD_OFFICE = b"PK\x03\x04", b"\xd0\xcf\x11\xe0"


def read_grids(data: bytes, name: str = "") -> list[Grid]:
    """Every sheet of a CSV or XLSX file that holds anything, cell by cell, as it stands: formulas and merged cells
    are told, not refused. SheetRefused for what cannot be read or is over the limits, and where all is empty.

    What a file is, its content says; `name` is only repeated to the reader.
    """
    if len(data) > MOST_BYTES:
        raise SheetRefused(
            f"{_the_file(name)} has {len(data) / 1e6:.1f} MB; at most {MOST_BYTES / 1e6:.0f} MB are read. "
            "Leave out pictures, or split it."
        )
    if data.startswith(OLD_OFFICE):
        raise SheetRefused(
            f"{_the_file(name)} is of the old kind (XLS) or locked by a password. Save it as XLSX without a password."
        )
    clock = Clock()
    grids = _workbook(data, clock) if data.startswith(ZIP) else [read_csv(data, clock)]
    found = [grid for grid in grids if grid.rows]
    if not found:
        raise SheetRefused(f"{_the_file(name)} is empty.")
    return found


def _workbook(data: bytes, clock: Clock) -> list[Grid]:
    # openpyxl is loaded with the first workbook, not with every start.
    from inventory.sheets.xlsx_in import read_xlsx  # noqa: PLC0415

    return read_xlsx(data, clock)


def read_sheet(data: bytes, name: str = "", known: Iterable[str] = ()) -> Sheet:
    """The rows of a file under their headings: of its first sheet that is not hidden and holds anything.

    The headings are the row, among the first ones, with the most cells that `known` names (in any spelling of
    capitals, blanks and signs); without a hit, the first row with two cells filled. SheetRefused, all faults at once
    by their place: formulas, errors, merged cells, no rows beneath the headings, and what `read_grids` refuses.
    """
    grids = read_grids(data, name)
    grid = next((one for one in grids if not one.hidden), grids[0])
    sheet = sheet_of(grid, known)
    others = tuple(one.title for one in grids if one is not grid)
    return Sheet(sheet.title, sheet.heading_row, sheet.headings, sheet.rows, others)


def sheet_of(grid: Grid, known: Iterable[str] = ()) -> Sheet:
    """The rows of one grid under their headings; see `read_sheet`."""
    at = _heading(grid, {plain(word) for word in known})
    heading, rows = grid.rows[at], grid.rows[at + 1 :]
    if len(rows) > MOST_ROWS:
        raise too_many_rows()
    faults = [*_merged(grid, heading.number), *_not_plain(grid, at)]
    if faults:
        raise SheetRefused(*faults)
    if not rows:
        raise SheetRefused("The sheet has headings and no row beneath them.")
    return Sheet(grid.title, heading.number, tuple(" ".join(cell.split()) for cell in heading.cells), rows)


def plain(text: str) -> str:
    """A heading as it is compared: small letters and figures only."""
    return re.sub(r"[\W_]+", "", text.casefold())


def _the_file(name: str) -> str:
    return f"The file “{name[:80]}”" if name else "The file"


def _heading(grid: Grid, known: set[str]) -> int:
    """Where among the rows the headings stand."""
    first = grid.rows[:HEADING_WITHIN]
    hits = [sum(plain(cell) in known for cell in row.cells if cell) for row in first]
    if max(hits):
        return hits.index(max(hits))
    filled = [sum(map(bool, row.cells)) for row in first]
    return next((at for at, count in enumerate(filled) if count > 1), 0)


def _merged(grid: Grid, heading_row: int) -> list[str]:
    """Merged cells from the headings on: nobody can say which row or column their value belongs to."""
    faults = []
    for cells in grid.merged:
        rows = [int(number) for number in re.findall(r"\d+", cells)]
        if rows and max(rows) >= heading_row:
            faults.append(f"{cells}: merged cells. Unmerge them and write each value in a cell of its own.")
    return faults


def _not_plain(grid: Grid, at: int) -> list[str]:
    faults = []
    for row in grid.rows[at:]:
        for column, cell in enumerate(row.cells):
            if cell.startswith("="):
                what = f"a formula ({cell[:40]}). Write the value itself (copy, then paste values only)."
            elif cell in ERRORS:
                what = f"the error {cell}. Write the value itself."
            else:
                continue
            faults.append(f"{place_of(row.number, column)}: {what}")
    return faults
