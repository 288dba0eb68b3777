"""Reads a bank's CSV: finds its separator and its first row, then its lines by what each column means.

No Django. A file is read whole or not at all; each fault names its line and says what to do.
"""

import csv
import re
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal, InvalidOperation

from inventory.words import counted, day
from orders.money import MOST, NOUGHT, in_pounds

SEPARATORS = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "bars"}
MOST_LINES = 5_000
MOST_SIGNS = 1_000_000
LONGEST_CELL = 2_000
EARLIEST = date(2000, 1, 1)
DAY_FORMATS = {
    "dmy": ("%d/%m/%Y", "%d/%m/%y", "%d %b %Y", "%d %B %Y", "%d %b %y"),
    "ymd": ("%Y/%m/%d",),
    "mdy": ("%m/%d/%Y", "%m/%d/%y"),
}
AMOUNT = re.compile(r"\(?[-+]?\s*[£€$]?\s*[-+]?\s*[\d.,' ]*\d[\d.,']*\s*-?\)?(\s*(CR|DR))?", re.IGNORECASE | re.ASCII)


class BadFile(Exception):
    """The file cannot be read as it is. `faults`: a sentence each."""

    def __init__(self, *faults: str):
        super().__init__(faults[0])
        self.faults = list(faults)


@dataclass(frozen=True)
class Sheet:
    """A file in cells. `first`: the line of the file on which its column names stand, counted from 1."""

    separator: str
    header: tuple[str, ...]
    rows: tuple[tuple[int, tuple[str, ...]], ...]

    @property
    def header_key(self) -> str:
        """By which the same bank's next file is known."""
        return "|".join(name.casefold() for name in self.header)


@dataclass(frozen=True)
class Line:
    """Money that came in. `line`: where it stands in the file; `again`: the how-manieth that reads the same."""

    line: int
    on: date
    amount: Decimal
    text: str
    reference: str
    again: int = 1


def decode(raw: bytes) -> str:
    """The file's text: UTF-8, else the Windows code page banks still write. BadFile for what is no text."""
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = raw.decode("cp1252", errors="replace")
    if "\x00" in text:
        raise BadFile("This is no CSV file: it holds signs no text has. Export it from the bank as CSV.")
    return text


def read_sheet(text: str) -> Sheet:
    """The cells of a file. BadFile where it is empty, too long, or not separated by anything known."""
    if not text.strip():
        raise BadFile("The file is empty.")
    if len(text) > MOST_SIGNS:
        raise BadFile(f"The file is too long: at most {MOST_SIGNS:,} signs. Export fewer days.")
    found = {separator: _cells(text, separator) for separator in SEPARATORS}
    best = max(SEPARATORS, key=lambda separator: _fit(found[separator]))
    rows = found[best]
    width = _width(rows)
    if width < 3:
        raise BadFile(
            "The columns cannot be told apart: they are not separated by commas, semicolons, tabs or bars. "
            "Export the file from the bank again as CSV."
        )
    start = next((place for place, (_, cells) in enumerate(rows) if len(cells) >= width and all(cells[:2])), None)
    header = () if start is None else tuple(cell.strip() for cell in rows[start][1])
    if not header or any(_looks_like_money(cell) for cell in header):
        raise BadFile("The first row has no names for the columns. Export the file with its heading row.")
    body = tuple((line, tuple(cells)) for line, cells in rows[start + 1 :] if any(cell.strip() for cell in cells))
    if not body:
        raise BadFile("The file has column names and no line beneath them.")
    if len(body) > MOST_LINES:
        raise BadFile(f"The file has {len(body):,} lines; at most {MOST_LINES:,}. Export fewer days.")
    return Sheet(best, header, body)


def _cells(text: str, separator: str) -> list[tuple[int, list[str]]]:
    reader = csv.reader(text.splitlines(), delimiter=separator)
    try:
        return [(reader.line_num, cells) for cells in reader if cells]
    except csv.Error:
        return []


def _width(rows) -> int:
    """How many columns most rows have."""
    widths = Counter(len(cells) for _, cells in rows)
    return max(widths, key=lambda width: (widths[width], width)) if widths else 0


def _fit(rows) -> tuple[int, int]:
    """A separator fits better the more rows it cuts into the same number of columns, more than one."""
    width = _width(rows)
    return (sum(len(cells) == width for _, cells in rows), width) if width > 1 else (0, 0)


def _looks_like_money(cell: str) -> bool:
    return bool(re.fullmatch(r"[-£]?\d[\d,]*[.,]\d\d", cell.strip()))


def read_lines(
    sheet: Sheet, columns: Mapping[str, str], *, currency: str, today: date
) -> tuple[list[Line], list[str]]:
    """The lines of money that came in, and what was left out in words.

    `columns`: the names of the columns day, text, reference, currency_column and either amount or money_in/money_out
    (empty: none), and day_order. BadFile with every fault where a single line cannot be read.
    """
    read = _Reading(_places(sheet, columns), columns.get("day_order", "dmy"), currency, today)
    lines, faults, out = [], [], 0
    seen: Counter[tuple] = Counter()
    for number, cells in sheet.rows:
        try:
            line = _line(number, cells, read)
        except ValueError as fault:
            faults.append(f"Line {number}: {fault}")
            continue
        if line is None:
            out += 1
            continue
        key = (line.on, line.amount, line.text, line.reference)
        seen[key] += 1
        lines.append(Line(line.line, *key, again=seen[key]))
    if faults:
        raise BadFile(*faults[:20])
    return lines, _said(lines, out)


def _said(lines: list[Line], out: int) -> list[str]:
    said = []
    if out:
        said.append(f"{counted(out, 'line')} of money going out {'is' if out == 1 else 'are'} left out.")
    for line in lines:
        if line.again > 1:
            said.append(
                f"Line {line.line} reads the same as one before it ({in_pounds(line.amount)} on {day(line.on)}). "
                "If the bank wrote one payment twice, put it aside."
            )
    return said


def _places(sheet: Sheet, columns: Mapping[str, str]) -> dict[str, int]:
    by_name = {name.casefold(): place for place, name in reversed(list(enumerate(sheet.header)))}
    places, missing = {}, []
    for role in ("day", "amount", "money_in", "money_out", "text", "reference", "currency_column"):
        if name := columns.get(role, ""):
            if name.casefold() in by_name:
                places[role] = by_name[name.casefold()]
            else:
                missing.append(name)
    if missing:
        raise BadFile(
            f"The file has no column {', '.join(repr(name) for name in missing)}; its columns are "
            f"{', '.join(sheet.header)}. Either it is another account's, or the bank changed its file: say anew what "
            "its columns are."
        )
    return places


@dataclass(frozen=True)
class _Reading:
    places: Mapping[str, int]
    day_order: str
    currency: str
    today: date


def _line(number: int, cells: tuple[str, ...], read: _Reading) -> Line | None:
    def cell(role: str) -> str:
        place = read.places.get(role)
        return cells[place].strip() if place is not None and place < len(cells) else ""

    if len(cells) <= max(read.places[role] for role in ("day", "text")):
        raise ValueError("fewer columns than the first row names. Is a separator missing?")
    if any(len(one) > LONGEST_CELL for one in cells):
        raise ValueError("a cell is far too long. Is a quotation mark left open?")
    theirs = cell("currency_column").upper()
    if theirs and theirs != read.currency:
        raise ValueError(f"is in {theirs[:8]}; this account is kept in {read.currency}.")
    on = read_day(cell("day"), read.day_order, read.today)
    if "amount" in read.places:
        amount = read_amount(cell("amount"))
    elif cell("money_in"):
        amount = read_amount(cell("money_in"))
    else:
        amount = NOUGHT
    if amount <= 0:
        return None
    if amount > MOST:
        raise ValueError(f"{in_pounds(amount)} is more than this book can hold.")
    return Line(number, on, amount, " ".join(cell("text").split())[:200], " ".join(cell("reference").split())[:140])


def read_day(text: str, order: str, today: date) -> date:
    """A day as the bank writes it; ISO is always understood. ValueError in words."""
    cut = re.sub(r"[.\-]", "/", text.strip().split("T")[0])
    for pattern in (*DAY_FORMATS[order], "%Y/%m/%d"):
        try:
            found = datetime.strptime(cut, pattern).date()
        except ValueError:
            continue
        if not EARLIEST <= found <= today:
            raise ValueError(f"{day(found)} is not a day on which money can have come in.")
        return found
    raise ValueError(f"“{text[:30]}” is not a day as this account's files write it.")


def read_amount(text: str) -> Decimal:
    """An amount with its sign: 1,234.56, 1.234,56, (12.00), 12.00-, £12, 12.00 DR. ValueError in words."""
    raw = text.strip()
    if not raw or not AMOUNT.fullmatch(raw):
        raise ValueError(f"“{raw[:30]}” is not an amount.")
    below = raw.startswith("(") or "-" in raw or raw.upper().endswith("DR")
    digits = re.sub(r"[^0-9.,]", "", raw)
    last = max(digits.rfind("."), digits.rfind(","))
    pence = len(digits) - last - 1 if last >= 0 else 0
    if last >= 0 and pence == 3 and digits[last] == ".":
        raise ValueError(f"“{raw[:30]}” can be read two ways: write pence with two figures.")
    if pence in (1, 2):
        digits = re.sub(r"[.,]", "", digits[:last]) + "." + digits[last + 1 :]
    else:
        digits = re.sub(r"[.,]", "", digits)
    try:
        amount = Decimal(digits).quantize(Decimal("0.01"))
    except InvalidOperation:
        raise ValueError(f"“{raw[:30]}” is more than this book can hold.") from None
    return -amount if below else amount
