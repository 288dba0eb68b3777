"""What shops ordered before the book, pasted as rows: day, shop, candle, pairs and, if known, the day of sending.

No Django. All faults are told at once, each with its line and the nearest name there is.
"""

import csv
import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from difflib import get_close_matches

USUAL_DAYS = 9  # from the order to its sending, where no day of sending is given: common practice, no source
EARLIEST = date(1990, 1, 1)
MOST_PAIRS, LONGEST_LINE = 100_000, 500
_DAY = re.compile(r"(\d{1,2})[./-](\d{1,2})[./-](\d{4})$")
_ISO = re.compile(r"(\d{4})-(\d{2})-(\d{2})$")


@dataclass(frozen=True)
class Row:
    """A row that was understood; shop and candle by key."""

    line: int
    shop: int
    candle: int
    placed_on: date
    ship_by: date
    pairs: int


class Unreadable(ValueError):
    """A cell that says nothing; the words are for a person."""


def read_rows(text: str, shops: Mapping[str, int], candles: Mapping[str, int]) -> tuple[list[Row], list[str]]:
    """(rows, faults). `shops` by name, `candles` by code; capitals do not matter. A first line of headings is passed.

    Cells are parted by tabs, semicolons or commas, whichever the first row has.
    """
    shops, candles = ({name.casefold(): key for name, key in known.items()} for known in (shops, candles))
    text = text.replace("\x00", "")
    lines = [(n, line[:LONGEST_LINE]) for n, line in enumerate(text.splitlines(), start=1) if line.strip()]
    if not lines:
        return [], ["There is no row."]
    parted = next((mark for mark in "\t;," if mark in lines[0][1]), ",")
    rows, faults = [], []
    for place, (number, line) in enumerate(lines):
        cells = [cell.strip() for cell in next(csv.reader([line], delimiter=parted))]
        if not place and not any(character.isdigit() for character in line):
            continue
        try:
            rows.append(_read(number, cells, shops, candles))
        except Unreadable as fault:
            faults.append(f"Line {number}: {fault}")
    return rows, faults if rows or faults else ["There is no row."]


def _read(number: int, cells: list[str], shops: Mapping[str, int], candles: Mapping[str, int]) -> Row:
    if not 4 <= len(cells) <= 5:
        raise Unreadable(f"{len(cells)} cells; there are to be four, or five: day, shop, candle, pairs, sent by.")
    placed_on = read_day(cells[0])
    pairs = cells[3].replace(",", "").replace(" ", "")
    if not pairs.isascii() or not pairs.isdecimal() or not 1 <= int(pairs[:9]) <= MOST_PAIRS:
        raise Unreadable(f"“{cells[3][:20]}” is no number of pairs from 1 to {MOST_PAIRS:,}.")
    shop, candle = _known("shop", cells[1], shops), _known("candle", cells[2], candles)
    ship_by = read_day(cells[4]) if len(cells) == 5 and cells[4] else placed_on + timedelta(days=USUAL_DAYS)
    if ship_by < placed_on:
        raise Unreadable("it was to be sent before it was ordered.")
    return Row(number, shop, candle, placed_on, ship_by, int(pairs))


def read_day(text: str) -> date:
    """2025-11-03 or 3/11/2025, the day before the month. Unreadable for anything else."""
    found = _ISO.match(text) or _DAY.match(text)
    parts = [int(part) for part in found.groups()] if found else []
    parts = parts if _ISO.match(text) else parts[::-1]
    try:
        day = date(*parts) if parts else None
    except ValueError:
        day = None
    if day is None or day < EARLIEST:
        raise Unreadable(f"“{text[:20]}” is no day: 2025-11-03 or 3/11/2025.")
    return day


def _known(what: str, text: str, known: Mapping[str, int]) -> int:
    found = known.get(text.casefold())
    if found is not None:
        return found
    near = get_close_matches(text.casefold(), known, n=1, cutoff=0.6)
    offered = f"; is it {near[0].title() if what == 'shop' else near[0].upper()}?" if near else "."
    raise Unreadable(f"no {what} is called “{text[:40]}”{offered}")
