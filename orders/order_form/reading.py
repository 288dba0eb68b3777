"""A form that came back, whatever harmless thing was done to it: sorted, rows added, columns moved, remarks typed,
quantities in words or boxes, saved as CSV. No Django.

Every row is an order, a doubt with its place, or left alone as it was made; what the shop wrote beside, above or below
comes back as a remark. Nothing it typed is passed over.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from inventory.sheets import Grid, Row
from orders.order_form.heads import Head, read_head
from orders.order_form.parts import COLUMNS, DAYS_HEADING, plain
from orders.order_form.rows import Line, Made, RowReader
from orders.reading import Reader
from orders.reading.columns import read_heading
from orders.reading.tokens import tidy

_COLUMN_OF = {plain(heading): name for name, heading in COLUMNS.items()}
LONGEST_REMARK = 200
MOST_ROWS = 2_000  # far above any catalogue; each row is looked up in it


class NotAForm(ValueError):
    """The file holds no list of candles with a column of pairs; the message is for whoever sent it in."""


@dataclass(frozen=True)
class Table:
    """Where the list stands: its sheet, the row of the headings, and the column (0 is A) of each thing."""

    grid: Grid
    heading: Row
    columns: dict[str, int]
    in_boxes: bool = False

    @property
    def filled(self) -> int:
        at = self.columns["pairs"]
        return sum(1 for row in self.grid.rows if row.number > self.heading.number and row.cell(at))


@dataclass(frozen=True)
class Came:
    """A form as it was read. `remarks`: what the shop wrote besides, each with its place; `told`: what is worth
    knowing of how it was read.
    """

    head: Head
    lines: tuple[Line, ...]
    remarks: tuple[str, ...]
    told: tuple[str, ...]

    @property
    def ordered(self) -> list[Line]:
        """Rows that order something, or may do so."""
        return [line for line in self.lines if not line.left_out]


def number_of(grids: Sequence[Grid]) -> Head:
    """The head, read before anything else is known: it says which form this is."""
    return read_head(_table(grids).grid.rows)


def read_form(grids: Sequence[Grid], reader: Reader, made: Sequence[Grid] = (), *, most: int) -> Came:
    """What stands in the sheets of a file. `made`: the sheets of the form as it was sent, where it is known; `most`:
    rows an order may have.

    NotAForm where there is no list to read, and where it is too long.
    """
    table = _table(grids)
    reading = RowReader(reader, table.columns, Made.of(made, _columns_of), in_boxes=table.in_boxes)
    # "Notes: with a ribbon" beside a candle is no head.
    head = read_head(row for row in table.grid.rows if not reading.names_a_candle(row))
    reading.merged = table.grid.merged
    ours = set(table.columns.values())
    named = {column: tidy(cell)[:40] for column, cell in enumerate(table.heading.cells) if column not in ours}
    reading.theirs = {column: heading for column, heading in named.items() if heading}
    if len(table.grid.rows) > MOST_ROWS:
        raise NotAForm(f"{len(table.grid.rows):,} rows: an order form has at most {MOST_ROWS:,}.")
    for row in table.grid.rows:
        if row.number != table.heading.number and row.number not in head.rows:
            reading.take(row, above=row.number < table.heading.number)
            if len(reading.lines) > most:
                raise NotAForm(f"More than {most:,} rows are ordered: an order has no more. Split it.")
    reading.finish()
    beside = [f"Row {row}: {text}" for row, text in head.rest]
    remarks = [*beside, *reading.remarks, *_elsewhere(grids, table)]
    return Came(head, tuple(reading.lines), tuple(remarks), tuple(reading.told))


def _table(grids: Sequence[Grid]) -> Table:
    found = [table for grid in grids if (table := _find(grid))]
    if not found:
        raise NotAForm(
            f"No order form: there is no row with the headings “{COLUMNS['code']}” and “{COLUMNS['pairs']}”. "
            "Take an order and paste its rows instead."
        )
    return max(found, key=lambda table: table.filled)


def _find(grid: Grid) -> Table | None:
    """The list of a sheet: under our headings, else under headings any order form may have."""
    for row in grid.rows:
        columns = _columns_of(row)
        if "pairs" in columns and {"code", "candle"} & set(columns):
            return Table(grid, row, columns)
    for row in grid.rows:
        words = read_heading("\t".join(" ".join(cell.split()) for cell in row.cells))
        if words and words.delimiter == "\t" and words.pairs is not None:
            names = dict(zip(("code", "candle"), words.candle, strict=False))
            return Table(grid, row, {**names, "pairs": words.pairs}, words.in_boxes)
    return None


def _columns_of(row: Row) -> dict[str, int]:
    """What our headings in a row say of its columns; the first of two alike."""
    found: dict[str, int] = {}
    for column, cell in enumerate(row.cells):
        if name := _COLUMN_OF.get(plain(cell)):
            found.setdefault(name, column)
    return found


def _elsewhere(grids: Sequence[Grid], table: Table) -> list[str]:
    """What stands on other sheets than the list's own and the days we sent along."""
    found = []
    for grid in grids:
        if grid is table.grid or any(cell == DAYS_HEADING for cell in grid.rows[0].cells):
            continue
        text = " ".join(" ".join(filter(None, row.cells)) for row in grid.rows[:LONGEST_REMARK])
        found.append(f"Sheet “{grid.title}”: {text[:LONGEST_REMARK]}{'…' if len(text) > LONGEST_REMARK else ''}")
    return found
