"""A pasted block line by line, and a row typed into two fields. No Django."""

import re
from collections.abc import Iterable
from dataclasses import replace

from orders.reading.catalogue import words_of
from orders.reading.columns import Columns, cells_of, read_heading
from orders.reading.parts import Doubt, LeftOut, Read, Reading
from orders.reading.tokens import read_quantity, tidy, tokens_of
from orders.reading.words import LineReader

_TOTAL = re.compile(r"(?:grand |sub-?)?totals?\b|sum\b|altogether\b|in all\b", re.IGNORECASE)
_GREETING = re.compile(
    r"(?:hi|hello|hey|dear|good (?:morning|afternoon|evening)|thanks|thank you|many thanks|cheers|kind regards|"
    r"best wishes|regards|best|yours|sincerely|could you|can you|please (?:send|find|can|could)|we would like|"
    r"our order|order|here is|sent from)\b",
    re.IGNORECASE,
)


class Reader(LineReader):
    def read_block(self, block: str) -> Reading:
        """Every line that is not blank, once each. Never raises for what somebody pasted."""
        parts: list[Read | Doubt | LeftOut] = []
        columns: Columns | None = None
        for number, raw in enumerate(block.splitlines(), start=1):
            line = raw.replace("\x00", "")
            if not tidy(line):
                continue
            heading = read_heading(line)
            columns = heading or columns
            found = [LeftOut(line, "A heading.")] if heading else self._read_line(line, columns)
            parts.extend(replace(part, text=line.strip(), line=number) for part in found)
        rows = tuple(part for part in parts if isinstance(part, Read))
        doubts = tuple(part for part in parts if isinstance(part, Doubt))
        left_out = tuple(part for part in parts if isinstance(part, LeftOut))
        return Reading(rows, doubts, left_out, (*_check_totals(rows, left_out), *_beside(rows)))

    def read_row(self, candle: str, quantity: str) -> Read | Doubt | None:
        """A typed row: a code or any part of a name, and pairs ("24", "3b"). None for a row left empty.

        With no quantity the first field may hold both, as in "iv250 24".
        """
        candle, quantity = tidy(candle), tidy(quantity)
        if not candle and not quantity:
            return None
        known = self.catalogue.exactly(candle) if candle else None
        fits = [known] if known else self.catalogue.typed(candle)
        if candle and not quantity and not known:
            found = self.read_words(cells_of(candle))
            if isinstance(found, Read) or not fits:
                return found
        return self.settle(fits, read_quantity(quantity), candle, quantity)

    def _read_line(self, text: str, columns: Columns | None) -> list[Read | Doubt | LeftOut]:
        if _TOTAL.match(tidy(text).lstrip("-*• \"'")):
            return [LeftOut(text, "A total.")]
        cells = cells_of(text, columns)
        if columns and columns.pairs is not None and len(cells) > columns.pairs:
            return [self._read_columns(cells, columns)]
        line = tidy(text)
        if not re.search(r"\d", line) and _GREETING.match(line) and not self.catalogue.exactly(line):
            return [LeftOut(text, "No order in it.")]
        return self._read_loose(cells) if len(cells) > 1 else [self.read_words(cells)]

    def _read_loose(self, cells: list[str]) -> list[Read | Doubt]:
        """Cells without a heading: one row, or a list of rows in one line ("24 IV250, 12 RD250")."""
        whole = self.read_words(cells)
        if isinstance(whole, Doubt):
            each = [self.read_words([cell]) for cell in cells]
            if all(isinstance(part, Read) for part in each):
                return each
        return [whole]

    def _read_columns(self, cells: list[str], columns: Columns) -> Read | Doubt | LeftOut:
        """Cells under a heading. An order form lists every candle: those with no pairs beside them are not wanted."""
        quantity = tidy(cells[columns.pairs])
        names = [tidy(cells[n]) for n in columns.candle if n < len(cells) and tidy(cells[n])]
        if quantity in ("", "-", "0"):
            return LeftOut("", "No pairs beside it.")
        exact = {known for name in names if (known := self.catalogue.exactly(name))}
        candle = " ".join(names)
        if len(exact) > 1:
            return self.doubt("Code and name are of two candles.", candle, quantity, exact)
        fits = list(exact) or next(filter(None, (self.catalogue.matching(words_of(name)) for name in names)), [])
        amount = read_quantity(quantity)
        if amount and columns.in_boxes:
            amount = (amount[0], "boxes")
        return self.with_beside(self.settle(fits, amount, candle, quantity), cells[columns.pairs + 1 :])


def _check_totals(rows: Iterable[Read], left_out: Iterable[LeftOut]) -> Iterable[str]:
    """A sentence where the customer's own total says other than the rows that were read."""
    pairs = sum(row.pairs for row in rows)
    for part in left_out:
        if part.why == "A total.":
            numbers = [token.value for token in tokens_of(part.text, lambda _: False) if token.kind == "number"]
            if numbers and pairs not in numbers:
                yield f"Their total says {numbers[0]:,}; the rows understood come to {pairs:,} pairs."


def _beside(rows: Iterable[Read]) -> Iterable[str]:
    return (f"Line {row.line} ({row.code}) also says: {row.beside}" for row in rows if row.beside)
