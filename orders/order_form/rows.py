"""The rows of a form that came back, one by one. No Django."""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal, InvalidOperation

from inventory.sheets import Grid, Row, column_letter
from orders.reading import Doubt, LeftOut, Read, Reader
from orders.reading.columns import BOXES
from orders.reading.spoken import DOZENS, ONES, TENS
from orders.reading.tokens import BOX_WORDS, PAIRS_WORDS, read_quantity, tidy

NONE = {"", "-", "–", "—", "0", "none", "nil", "no", "n/a", "no thanks", "no thank you"}
COUNTING = {*ONES, *TENS, *DOZENS, *BOX_WORDS, *PAIRS_WORDS, *BOXES, "hundred", "few", "couple"} - {"a", "an", "b"}
_RANGE = re.compile(r"([A-Z]{1,3})(\d{1,7}):([A-Z]{1,3})(\d{1,7})")
# Facts of ours a shop has no reason to touch; numbers, so that another way of writing them is no other number.
FIGURES = {"price": "the price", "last": "last year's pairs"}


@dataclass(frozen=True)
class Line:
    """A row of the sheet and what it turned out to be. `said`: the row in the shop's words."""

    row: int
    said: str
    part: Read | Doubt | LeftOut

    @property
    def left_out(self) -> bool:
        return isinstance(self.part, LeftOut)

    @property
    def place(self) -> str:
        return f"Row {self.row}"


@dataclass(frozen=True)
class Made:
    """The form as it left the house: the texts above its list, and the figures of each candle's row by code."""

    texts: frozenset[str] = frozenset()
    rows: dict[str, dict[str, str]] | None = None

    @classmethod
    def of(cls, grids: Sequence[Grid], columns_of: Callable[[Row], dict[str, int]]) -> "Made":
        texts: set[str] = set()
        rows: dict[str, dict[str, str]] = {}
        columns: dict[str, int] = {}
        for row in grids[0].rows if grids else ():
            if columns and (code := row.cell(columns["code"])):
                rows[code] = {name: row.cell(columns[name]) for name in ("candle", *FIGURES)}
            elif {"code", "pairs"} <= set(found := columns_of(row)):
                columns = found
            elif not columns:
                texts.update(row.cells)
        return cls(frozenset(texts), rows if grids else None)


class RowReader:
    """Takes the rows of a list in turn; `lines`, `remarks` and `told` grow with them."""

    def __init__(self, reader: Reader, columns: dict[str, int], made: Made, *, in_boxes: bool = False):
        self.reader, self.columns, self.made, self.in_boxes = reader, columns, made, in_boxes
        self.merged: Sequence[str] = ()
        self.theirs: dict[int, str] = {}  # columns the shop put in, by the heading it gave them
        self.in_theirs: dict[int, list[str]] = {}
        self.lines: list[Line] = []
        self.remarks: list[str] = []
        self.told: list[str] = []
        self.totals: list[tuple[Row, str]] = []

    def names_a_candle(self, row: Row) -> bool:
        """Whether the row's code is one of the catalogue's."""
        return self.reader.catalogue.exactly(tidy(self._cell(row, "code"))) is not None

    def take(self, row: Row, *, above: bool) -> None:
        """One row; `above` the headings nothing is ordered, unless the row was sorted up there."""
        code, name, quantity = (tidy(self._cell(row, what)) for what in ("code", "candle", "pairs"))
        if above and not self.names_a_candle(row):
            return self._take_above(row)
        for column in self.theirs:
            if cell := tidy(row.cell(column)):
                self.in_theirs.setdefault(column, []).append(cell)
        beside = self._beside(row)
        if quantity.casefold() in NONE:
            return self._take_without_pairs(row, code, name, beside)
        if merged := self._merged_into(row):
            part = self.reader.doubt(f"{merged} is one merged cell: for which candle?", code or name, quantity, ())
        elif code or name:
            part = self._ask(code, name, quantity)
        else:
            part = self._ask_loose(quantity)
        self._add(row, " – ".join(filter(None, (" ".join(filter(None, (code, name))), quantity))), part)
        if beside:
            self.remarks.append(f"{self.lines[-1].place}, {code or name or quantity}: {beside}")
        self._compare(row, code)
        return None

    def finish(self) -> None:
        """What can only be said once every row is read."""
        reads = [line for line in self.lines if isinstance(line.part, Read)]
        pairs = sum(line.part.pairs for line in reads)
        for row, quantity in self.totals:
            amount = read_quantity(quantity)
            if amount and amount[0] != pairs:
                said = (
                    f"Row {row.number}: their total says {amount[0]:,}; the rows understood come to {pairs:,} pairs."
                )
                self.told.append(said)
        for column, cells in self.in_theirs.items():
            some = ", ".join(f"“{cell[:30]}”" for cell in cells[:3]) + (" and so on" if len(cells) > 3 else "")
            self.told.append(f"Column {column_letter(column)}, “{self.theirs[column]}”, is theirs: not read. {some}.")
        again: dict[str, list[Line]] = {}
        for line in reads:
            again.setdefault(line.part.code, []).append(line)
        for code, lines in again.items():
            if len(lines) > 1:
                where = " and ".join(f"{line.part.pairs:,} in row {line.row}" for line in lines)
                self.told.append(f"{code} stands more than once: {where}. Each is a row of the draft.")

    def _take_above(self, row: Row) -> None:
        """A row of the head without a label: ours, or a word of the shop's where it was made otherwise."""
        if self.made.rows is not None:
            new = [cell for cell in row.cells if cell and cell not in self.made.texts]
            if new:
                self.remarks.append(f"Row {row.number}: {' '.join(new)}")

    def _take_without_pairs(self, row: Row, code: str, name: str, beside: str) -> None:
        named = " ".join(filter(None, (code, name)))
        moved = self._moved_figure(row, code)
        if self._is_untouched(code, name) or not (named or beside):
            if moved or re.search(r"\d", beside):
                why = f"No pairs, but {moved or f'“{beside[:60]}” stands beside it'}: how many?"
                self._add(row, f"{named} – {beside or moved}", self.reader.doubt(why, code or name, "", ()))
            elif beside:
                self.remarks.append(f"Row {row.number}, {named}: {beside}".replace(", :", ":"))
            return
        text = tidy(" ".join(filter(None, (code, name, beside))))
        known = self.reader.catalogue.exactly(code) or self.reader.catalogue.exactly(name)
        counts = re.search(r"\d", text) or {word.strip(".,!") for word in text.casefold().split()} & COUNTING
        if known or counts:
            self._add(row, text, self._ask_loose(text))
        else:
            self.remarks.append(f"Row {row.number}: {text}")

    def _ask(self, code: str, name: str, quantity: str) -> Read | Doubt | LeftOut:
        """The reader's answer to a row, by the very rules of a pasted block."""
        unit = "Boxes" if self.in_boxes else "Pairs"
        cells = "\t".join(_one_cell(text) for text in (code, name, quantity))
        return self._only(self.reader.read_block(f"Code\tCandle\t{unit}\n{cells}"))

    def _ask_loose(self, text: str) -> Read | Doubt | LeftOut:
        return self._only(self.reader.read_block(_one_cell(text)))

    def _only(self, reading) -> Read | Doubt | LeftOut:
        """What a block of one line says; a list of several orders in one cell is for a person to take apart."""
        found = [*reading.rows, *reading.doubts, *(one for one in reading.left_out if one.why != "A heading.")]
        if len(found) == 1:
            return found[0]
        text = reading.rows[0].text if reading.rows else ""
        return replace(self.reader.doubt("More than one candle in a row.", text, "", ()), candle=text[:80])

    def _add(self, row: Row, said: str, part: Read | Doubt | LeftOut) -> None:
        if isinstance(part, LeftOut) and part.why == "A total.":
            self.totals.append((row, tidy(self._cell(row, "pairs"))))
        self.lines.append(Line(row.number, said[:300], part))

    def _compare(self, row: Row, code: str) -> None:
        """Where a figure of ours is no longer what it was, somebody has written into it."""
        for name, changed in self._changed(row, code).items():
            was = self.made.rows[code][name] or "none"
            self.told.append(f"Row {row.number}, {code}: they made {FIGURES[name]} {changed}; the form said {was}.")

    def _moved_figure(self, row: Row, code: str) -> str:
        changed = self._changed(row, code)
        return "; ".join(f"they made {FIGURES[name]} “{text}”" for name, text in changed.items())

    def _changed(self, row: Row, code: str) -> dict[str, str]:
        """The figures of a row that are others than on the form as it was made, as they stand now."""
        was = (self.made.rows or {}).get(code, {})
        now = {name: self._cell(row, name) for name in FIGURES if name in was and name in self.columns}
        return {name: text for name, text in now.items() if text and _figure(text) != _figure(was[name])}

    def _is_untouched(self, code: str, name: str) -> bool:
        """Whether code and name are a row of the form as it was made, or name one candle twice over."""
        if self.made.rows is not None:
            by_code, by_name = "code" in self.columns, "candle" in self.columns
            return any(
                (code == made or not by_code) and (name == facts["candle"] or not by_name)
                for made, facts in self.made.rows.items()
            )
        exactly = self.reader.catalogue.exactly
        return bool(code and name) and exactly(code) is not None and exactly(code) == exactly(name)

    def _beside(self, row: Row) -> str:
        """What stands in the remark's column and in those without a heading."""
        passed = {column for name, column in self.columns.items() if name != "note"} | self.theirs.keys()
        cells = [tidy(cell) for column, cell in enumerate(row.cells) if column not in passed]
        return ", ".join(filter(None, cells))

    def _merged_into(self, row: Row) -> str:
        """The merged cell over more than one row that the row's pairs lie in."""
        # openpyxl is loaded with the first workbook, not with every start.
        from openpyxl.utils.cell import column_index_from_string  # noqa: PLC0415

        column = self.columns["pairs"] + 1
        for cells in self.merged:
            if not (found := _RANGE.fullmatch(cells)):
                continue
            left, right = column_index_from_string(found[1]), column_index_from_string(found[3])
            top, bottom = int(found[2]), int(found[4])
            if left <= column <= right and top <= row.number <= bottom and top < bottom:
                return cells
        return ""

    def _cell(self, row: Row, name: str) -> str:
        return row.cell(self.columns[name]) if name in self.columns else ""


def _figure(text: str) -> Decimal | str:
    try:
        return Decimal(text.lstrip("£€$ ").replace(",", "") or "0")
    except InvalidOperation:
        return text


def _one_cell(text: str) -> str:
    """Text that stays one cell of one line."""
    return tidy(text.replace('"', "”"))
