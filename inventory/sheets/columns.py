"""The columns of a kind of sheet, and finding them in somebody's headings. No Django."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher

from inventory.sheets.parts import Clock, Sheet, place_of
from inventory.sheets.values import Reader, key, same

NEAR = 0.72  # as alike as "Telefone" and "Telephone"


@dataclass(frozen=True)
class Column:
    """`label` is its heading in our own template, `also` what others write there. `needed`: a new row has to have it.
    `says`: what may stand there, for people.
    """

    name: str
    label: str
    read: Reader
    also: tuple[str, ...] = ()
    needed: bool = False
    says: str = ""
    example: str = ""

    @property
    def spellings(self) -> tuple[str, ...]:
        return (self.label, *self.also)


@dataclass(frozen=True)
class Fault:
    """What is wrong, where: `row` as the spreadsheet counts, `column` from 0, or None for the row as a whole."""

    row: int
    column: int | None
    stands: str
    why: str

    @property
    def place(self) -> str:
        return f"row {self.row}" if self.column is None else place_of(self.row, self.column)


@dataclass(frozen=True)
class FilledRow:
    """A row as read. `values` holds the columns that are filled in it, by name; `cells` its text as it stands."""

    number: int
    values: Mapping[str, object]
    cells: Sequence[str]

    def text(self, at: int | None) -> str:
        """What stands in a column (from 0); "" for none."""
        return self.cells[at] if at is not None and at < len(self.cells) else ""


@dataclass(frozen=True)
class Match:
    """A heading (its place from 0) and the column it is taken for; "" for none. `sure`: by its own name or remembered,
    not by likeness alone.
    """

    at: int
    heading: str
    column: str
    sure: bool


def match_headings(headings: Sequence[str], columns: Sequence[Column], remembered: Mapping[str, str]) -> list[Match]:
    """Each heading that is not blank with its column. `remembered`: headings' keys to names, "" for left out.

    What was remembered counts first, then a column's own spellings, then the most alike of the columns still free.
    """
    own = {key(spelling): column.name for column in reversed(columns) for spelling in column.also}
    own |= {key(column.label): column.name for column in columns}
    matches = []
    for at, heading in enumerate(headings):
        known = remembered.get(key(heading), own.get(key(heading)))
        if heading:
            matches.append(Match(at, heading, known or "", known is not None))
    taken = {match.column for match in matches}
    for n, match in enumerate(matches):
        if not match.sure and (near := _nearest(match.heading, [one for one in columns if one.name not in taken])):
            matches[n] = Match(match.at, match.heading, near, False)
            taken.add(near)
    return matches


def _nearest(heading: str, columns: Sequence[Column]) -> str:
    def alike(column: Column) -> float:
        return max(SequenceMatcher(None, key(heading), key(own)).ratio() for own in column.spellings)

    best = max(columns, key=alike, default=None)
    return best.name if best and alike(best) >= NEAR else ""


def heading_faults(sheet: Sheet, matches: Sequence[Match], columns: Sequence[Column]) -> list[Fault]:
    """Columns named twice, headings nobody knows, filled columns without a heading, and key columns that lack."""
    faults, seen = [], {}
    labels = {column.name: column.label for column in columns}
    for match in matches:
        if match.column and match.column in seen:
            why = f"is the column {labels[match.column]} once more; {seen[match.column]} is taken for it too."
            faults.append(Fault(sheet.heading_row, match.at, match.heading, why))
        seen.setdefault(match.column, f"“{match.heading}”")
        if not match.sure:
            near = f" Is it “{labels[match.column]}”?" if match.column else ""
            why = f"is no column of this sheet.{near}"
            faults.append(Fault(sheet.heading_row, match.at, match.heading, why))
    named = {match.at for match in matches}
    bare = {}
    for row in sheet.rows:
        for at, cell in enumerate(row.cells):
            if cell and at not in named:
                bare.setdefault(at, Fault(row.number, at, cell, "has no heading above it."))
    return faults + [bare[at] for at in sorted(bare)]


def read_rows(
    sheet: Sheet, matches: Sequence[Match], columns: Sequence[Column], keys: Sequence[str], clock: Clock
) -> tuple[list[FilledRow], list[Fault]]:
    """Every row's values, and every fault of every cell. Rows with a fault are left out of the first.

    `keys`: columns in which no value may stand twice. SheetRefused where the clock runs out.
    """
    by_name = {column.name: column for column in columns}
    wanted = [(match.at, by_name[match.column]) for match in matches if match.column in by_name]
    rows, faults = [], []
    seen: dict[tuple[str, object], int] = {}
    for row in sheet.rows:
        clock.check()
        values, found = {}, []
        for at, column in wanted:
            text = row.cell(at)
            if not text:
                continue
            try:
                value = values[column.name] = column.read(text)
                if column.name in keys:
                    first = seen.setdefault((column.name, same(str(value))), row.number)
                    if first != row.number:
                        raise ValueError(f"stands in row {first} already.")
            except ValueError as why:
                found.append(Fault(row.number, at, text, str(why)))
        faults += found
        if not found and values:
            rows.append(FilledRow(row.number, values, row.cells))
    return rows, faults
