"""XLSX, streamed: sizes are checked before a part is opened, no part is held as a tree. No Django.

The loader of the library that writes our workbooks holds styles and texts as objects and widens a row to whatever
column a cell claims; a hostile file of some kilobytes fills the memory so. Its helpers for days are used here.
"""

import io
import posixpath
import zipfile
import zlib
from collections.abc import Callable
from dataclasses import dataclass, field

from inventory.sheets.cells import CellKinds, cell_text, read_kinds, text_in
from inventory.sheets.parts import (
    MOST_CELLS,
    MOST_COLUMNS,
    MOST_UNPACKED,
    Clock,
    Grid,
    RowKeeper,
    SheetRefused,
    cleaned,
)
from inventory.sheets.xml_in import damaged, walk

MOST_PARTS, MOST_SHEETS = 2_000, 100
# A relationship's type ends so, in the transitional and in the strict form of the format.
OFFICE, STRINGS, STYLES = "/officeDocument", "/sharedStrings", "/styles"


# What the zip module raises for archives that are cut short, locked by a password, or lie about where a part begins.
BROKEN = (zipfile.BadZipFile, zlib.error, KeyError, ValueError, RuntimeError, EOFError, OSError)


@dataclass
class Book:
    """An opened workbook: its parts by name, and what its sheets share."""

    zip: zipfile.ZipFile
    clock: Clock
    strings: list[str] = field(default_factory=list)
    kinds: CellKinds = field(default_factory=CellKinds)

    def walk(self, name: str, begin: Callable, end: Callable) -> None:
        try:
            with self.zip.open(name) as part:
                walk(part, self.clock, begin, end)
        except BROKEN:
            raise damaged() from None


def read_xlsx(data: bytes, clock: Clock) -> list[Grid]:
    """Every sheet of a workbook in its order. SheetRefused for what is none, is damaged or would unpack too far."""
    try:
        opened = zipfile.ZipFile(io.BytesIO(data))
    except BROKEN:
        raise damaged() from None
    with opened:
        parts = opened.infolist()
        # Python reads no more of a part than the size that stands here.
        if len(parts) > MOST_PARTS or sum(part.file_size for part in parts) > MOST_UNPACKED:
            raise SheetRefused(
                f"Unpacked the file has more than {MOST_UNPACKED / 1e6:.0f} MB. Copy the rows into a new, plain sheet."
            )
        return _grids(Book(opened, clock), {part.filename for part in parts})


def _grids(book: Book, names: set[str]) -> list[Grid]:
    main = next(iter(_related(book, "", names).get(OFFICE, {}).values()), "")
    if main not in names:
        raise SheetRefused("This is no XLSX workbook. Save it from the spreadsheet as XLSX or CSV.")
    related = _related(book, main, names)
    sheets, old_epoch = _sheets(book, main)
    targets = {key: target for by_id in related.values() for key, target in by_id.items()}
    for target in related.get(STRINGS, {}).values():
        book.strings = _strings(book, target)
    for target in related.get(STYLES, {}).values():
        book.kinds = read_kinds(lambda begin, end, target=target: book.walk(target, begin, end))
    book.kinds.old_epoch = old_epoch
    return [
        _grid(book, targets[key], title, hidden)
        for title, key, hidden in sheets
        if targets.get(key, "").rpartition("/")[0].endswith("worksheets")
    ]


def _related(book: Book, part: str, names: set[str]) -> dict[str, dict[str, str]]:
    """What a part points to: the end of the relationship's type -> id -> name of the part."""
    folder, _, own = part.rpartition("/")
    path = posixpath.join(folder, "_rels", f"{own}.rels")
    found: dict[str, dict[str, str]] = {}

    def begin(name, attributes):
        if name == "Relationship" and attributes.get("TargetMode") != "External":
            target = posixpath.normpath(posixpath.join("/", folder, attributes.get("Target", ""))).lstrip("/")
            kind = "/" + attributes.get("Type", "").rpartition("/")[2]
            if target in names:
                found.setdefault(kind, {})[attributes.get("Id", "")] = target

    if path in names:
        book.walk(path, begin, lambda name, text: None)
    return found


def _sheets(book: Book, main: str) -> tuple[list[tuple[str, str, bool]], bool]:
    """(title, id, hidden) of each sheet, and whether its days count from 1904."""
    sheets, old_epoch = [], False

    def begin(name, attributes):
        nonlocal old_epoch
        if name == "workbookPr":
            old_epoch = attributes.get("date1904", "0") in ("1", "true")
        elif name == "sheet":
            hidden = attributes.get("state", "visible") != "visible"
            sheets.append((cleaned(attributes.get("name", ""))[:80], attributes.get("id", ""), hidden))
            if len(sheets) > MOST_SHEETS:
                raise SheetRefused(f"The file has more than {MOST_SHEETS} sheets.")

    book.walk(main, begin, lambda name, text: None)
    return sheets, old_epoch


def _strings(book: Book, part: str) -> list[str]:
    """The texts the cells point to. Readings in another script that stand above a text are not part of it."""
    strings: list[str] = []
    texts: list[str] = []
    above = 0

    def begin(name, attributes):
        nonlocal above
        above += name == "rPh"

    def end(name, text):
        nonlocal above
        if name == "t" and text and not above:
            texts.append(text)
        elif name == "si":
            strings.append(text_in("".join(texts)))
            texts.clear()
            if len(strings) > MOST_CELLS:
                raise SheetRefused(f"The file holds more than {MOST_CELLS:,} texts. Split it.")
        above -= name == "rPh"

    book.walk(part, begin, end)
    return strings


class _SheetWalk:
    """Takes the elements of a sheet and keeps its rows. A row or cell that does not say where it stands follows the
    one before it.
    """

    def __init__(self, book: Book, title: str):
        self.book, self.keeper = book, RowKeeper(title)
        self.merged: list[str] = []
        self.row, self.column, self.cells = 0, -1, []
        self.kind, self.style, self.value, self.formula = "", "", "", None

    def begin(self, name: str, attributes: dict[str, str]) -> None:
        if name == "c":
            self.kind, self.style = attributes.get("t", "n"), attributes.get("s", "0")
            self.value, self.formula = "", None
            self.column = _column(attributes.get("r", ""), self.column + 1)
        elif name == "row":
            self.row, self.column, self.cells = _number(attributes.get("r", ""), self.row + 1), -1, []
        elif name == "mergeCell" and len(self.merged) < 1000:
            self.merged.append(attributes.get("ref", "")[:40])

    def end(self, name: str, text: str) -> None:
        if name == "v":
            self.value = text
        elif name == "t" and self.kind == "inlineStr":
            self.value += text
        elif name == "f":
            self.formula = text
        elif name == "c":
            self._keep_cell()
        elif name == "row":
            self.keeper.keep(self.row, self.cells)
            self.cells = []

    def _keep_cell(self) -> None:
        text = f"={self.formula}" if self.formula is not None else self._text()
        if not text:
            return
        if self.column >= MOST_COLUMNS:
            raise SheetRefused(f"Row {self.row}{self.keeper.of} has more than {MOST_COLUMNS} columns.")
        self.cells += [""] * (self.column + 1 - len(self.cells))
        self.cells[self.column] = text

    def _text(self) -> str:
        if self.kind == "s":
            at = _number(self.value, -1)
            if not 0 <= at < len(self.book.strings):
                raise damaged()
            return self.book.strings[at]
        return cell_text(self.value, self.kind, self.style, self.book.kinds)


def _grid(book: Book, part: str, title: str, hidden: bool) -> Grid:
    found = _SheetWalk(book, title)
    book.walk(part, found.begin, found.end)
    rows = sorted(found.keeper.rows, key=lambda row: row.number)
    return Grid(title, tuple(rows), tuple(found.merged), hidden)


def _number(text: str, otherwise: int) -> int:
    return int(text) if text.isascii() and text.isdecimal() and len(text) < 10 else otherwise


def _column(reference: str, otherwise: int) -> int:
    """The column of a cell's reference, 0 for A1; anything past the widest sheet counts as just past the limit."""
    letters = reference.rstrip("0123456789")
    if not letters.isascii() or not letters.isalpha():
        return otherwise
    column = 0
    for letter in letters.upper()[:4]:
        column = column * 26 + ord(letter) - 64
    return column - 1
