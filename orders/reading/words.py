"""One line written freely: a candle and a number in either order. No Django."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from orders.reading.catalogue import Catalogue, Known, in_name, words_of
from orders.reading.parts import Doubt, Read
from orders.reading.tokens import FILLERS, Token, prices_apart, read_quantity, tidy, tokens_of, without_list_mark


@dataclass(frozen=True)
class Way:
    """One way to read a line. sure: the line itself says that this is the quantity; unsure: it may be a size."""

    candle: Known
    number: Token
    unit: str
    sure: bool
    unsure: bool


class LineReader:
    """Reads one line against one catalogue. `most_pairs`: more than that on a line is a slip of the finger."""

    def __init__(self, catalogue: Catalogue, most_pairs: int):
        self.catalogue, self.most_pairs = catalogue, most_pairs

    def read_words(self, cells: list[str]) -> Read | Doubt:
        """Every number that may be the pairs is tried, and the rest must name one candle."""
        line = tidy(" ".join(cells))
        ways = self._ways(cells, loose=len(cells) > 1)
        fits = {way.candle for way in ways}
        if len({(way.candle, way.number.value, way.unit) for way in ways}) == 1 and not any(w.unsure for w in ways):
            (way, *_) = ways
            read = self.settle([way.candle], (way.number.value, way.unit), line, way.number.text)
            return self.with_beside(read, cells[way.number.cell + 1 :])
        if len(fits) > 1:
            return self.doubt("It can be read in two ways.", line, "", fits)
        if not fits:
            return self._not_read(line, cells)
        numbers = [f"{number:,}" for number in sorted({way.number.value for way in ways})]
        which = f"Which are the pairs: {' or '.join(numbers)}?"
        why = f"Is {numbers[0]} its size or the pairs?" if len(numbers) == 1 else which
        return self.doubt(why, ways[0].candle.code, "", fits)

    def _not_read(self, line: str, cells: list[str]) -> Doubt:
        """What is wrong with a line that names no candle with its number, and what of it can be kept apart."""
        tokens = self._tokens(cells)
        codes, _ = self._codes_in([token for token in tokens if token.kind == "word"])
        if len(codes) > 1:
            return self.doubt("More than one candle in a line.", line, "", codes)
        whole, _ = self._resolve(tokens, loose=False)
        if whole:
            return self.settle(whole, None, line, "")
        at, quantity = _likely_quantity(tokens)
        rest = " ".join(
            token.text
            for n, token in enumerate(tokens)
            if n != at and token.kind in ("word", "size", "number") and token.text.casefold() not in FILLERS
        )
        found, _ = self._resolve([token for token in tokens if token.kind != "number"], loose=True)
        if len(found) == 1 and found[0].active and quantity:
            return self.doubt("More is written than a candle and its pairs.", line, "", found)
        return self.settle(found, read_quantity(quantity), rest if quantity else line, quantity)

    def _ways(self, cells: list[str], *, loose: bool) -> list[Way]:
        """The ways to read the cells as one candle and one number; only the surest kind of them."""
        tokens = self._tokens(cells)
        telling = [
            n
            for n, token in enumerate(tokens)
            if token.kind not in ("mark", "money") and token.text.casefold() not in FILLERS
        ]
        numbers = [n for n, token in enumerate(tokens) if token.kind == "number"]
        ways = [way for n in numbers if (way := self._way(tokens, n, telling, loose=loose))]
        return [way for way in ways if way.sure] or ways

    def _tokens(self, cells: list[str]) -> list[Token]:
        first, *others = cells
        texts = [without_list_mark(first), *others]
        return prices_apart([token for n, cell in enumerate(texts) for token in tokens_of(cell, self._is_code, n)])

    def _way(self, tokens: list[Token], n: int, telling: list[int], *, loose: bool) -> Way | None:
        """The line read with the number at n as its quantity: at one end of it, in a cell alone, or with a unit."""
        number = tokens[n]
        unit_at = None if number.unit else _unit_beside(tokens, n)
        unit = number.unit or (tokens[unit_at].unit if unit_at is not None else "")
        its = {n, unit_at}
        at_end = not its.isdisjoint((telling[0], telling[-1]))
        alone = not any(i not in its and tokens[i].cell == number.cell for i in telling)
        if not (unit or (alone if loose else at_end)):
            return None
        rest = [token for i, token in enumerate(tokens) if i not in its]
        fits, named = self._resolve(rest, loose=loose, box=unit == "boxes")
        if len(fits) != 1:
            return None
        sizes = [
            w for t in rest if t.kind in ("number", "size") and not self._is_code(t.text) for w in words_of(t.text)
        ]
        times = n + 2 < len(tokens) and tokens[n + 1].text in ("x", "X", "×", "*") and tokens[n + 2].kind == "word"
        sure = bool(unit) or (times and n == telling[0])
        in_size = str(number.value) in self.catalogue.name_words(fits[0]) and str(number.value) not in sizes
        return Way(fits[0], number, unit or "pairs", sure, unsure=in_size and named and not sure)

    def _resolve(self, tokens: list[Token], *, loose: bool, box: bool = False) -> tuple[list[Known], bool]:
        """The candles the tokens name, and whether words of a name are among them (not a code alone).

        Beside a code nothing may stand that is not of the candle's name; in a spreadsheet's cells (`loose`) anything.
        """
        kept = [t for t in tokens if t.kind in ("word", "size", "number") and t.text.casefold() not in FILLERS]
        codes, used = self._codes_in(kept)
        if len(codes) > 1:
            return [], False
        words = [word for n, token in enumerate(kept) if n not in used for word in words_of(token.text)]
        if not codes:
            return self._named(kept, words, loose=loose), True
        (candle,) = codes
        name = self.catalogue.name_words(candle)
        stray = [w for w in words if not in_name(w, name) and not (box and w == str(candle.pairs_per_box))]
        if stray and not loose:
            return [], False
        return [candle], any(word.isalpha() and in_name(word, name) for word in words)

    def _named(self, kept: list[Token], words: list[str], *, loose: bool) -> list[Known]:
        found = self.catalogue.matching(words)
        if found or not loose:
            return found
        by_cell = [
            self.catalogue.matching([w for t in kept if t.cell == cell for w in words_of(t.text)])
            for cell in sorted({token.cell for token in kept})
        ]
        named = [fits for fits in by_cell if fits]
        return named[0] if len(named) == 1 else []

    def _codes_in(self, tokens: list[Token]) -> tuple[set[Known], set[int]]:
        """Candles named by code or GTIN, a code written in two pieces ("IV 250") too, and which tokens did it."""
        codes: set[Known] = set()
        used: set[int] = set()
        for n, token in enumerate(tokens):
            pair = token.text + tokens[n + 1].text if n + 1 < len(tokens) else ""
            if known := self.catalogue.by_code(token.text):
                codes.add(known)
                used.add(n)
            elif token.text.isalpha() and pair and (known := self.catalogue.by_code(pair)):
                codes.add(known)
                used.update((n, n + 1))
        return codes, used

    def with_beside(self, part: Read | Doubt, cells: list[str]) -> Read | Doubt:
        """A row with what its customer wrote behind the quantity, unless that is but prices or the name again."""
        if not isinstance(part, Read):
            return part
        name = self.catalogue.name_words(self.catalogue.by_code(part.code))
        said = [
            cell
            for cell in map(tidy, cells)
            if any(t.kind == "word" and not in_name(t.text.casefold(), name) for t in tokens_of(cell, self._is_code))
        ]
        return replace(part, beside=", ".join(said))

    def _is_code(self, chunk: str) -> bool:
        return self.catalogue.by_code(chunk) is not None

    def settle(
        self, fits: Iterable[Known], amount: tuple[int, str] | None, candle: str, quantity: str
    ) -> Read | Doubt:
        """A row where one candle and a sensible number are there, else a doubt that says what lacks."""
        fits = list(fits)
        if not fits:
            why = "Which candle?" if not candle else "No candle of that name."
            return self.doubt(why, candle, quantity, ())
        if len(fits) > 1:
            return self.doubt(f"{len(fits)} candles fit.", candle, quantity, fits)
        (known,) = fits
        if not known.active:
            gone = f"{known.code} is no longer in the catalogue."
            return replace(self.doubt(gone, known.name, quantity, ()), candle=known.code)
        if amount is None:
            why = f"“{quantity[:20]}” is not a number of pairs." if quantity else "How many pairs?"
            return self.doubt(why, known.code, quantity, fits)
        number, unit = amount
        pairs = number * known.pairs_per_box if unit == "boxes" else number
        if not 0 < pairs <= self.most_pairs:
            why = f"{pairs:,} pairs: between 1 and {self.most_pairs:,} can be ordered on a line."
            return self.doubt(why, known.code, quantity, fits)
        return Read(known.code, pairs, number if unit == "boxes" else None)

    def doubt(self, why: str, candle: str, quantity: str, fits: Iterable[Known]) -> Doubt:
        """A doubt that offers the candles that fit, or else the nearest."""
        offered = sorted(known.code for known in fits if known.active)
        nearest = offered or [known.code for known in self.catalogue.nearest(candle)]
        return Doubt("", why, tuple(nearest[:8]), candle, quantity)


def _unit_beside(tokens: list[Token], n: int) -> int | None:
    """Where the unit of the number at n stands: after it ("24 pairs", "2 x boxes"), else before it ("pairs: 24")."""
    for step in (1, -1):
        at = n + step
        while 0 <= at < len(tokens) and tokens[at].kind == "mark" and tokens[at].cell == tokens[n].cell:
            at += step
        if 0 <= at < len(tokens) and tokens[at].kind == "unit":
            return at
    return None


def _likely_quantity(tokens: list[Token]) -> tuple[int | None, str]:
    """The number that is almost surely the quantity of a line not understood: the only one, "24 x ..." or "... 24"."""
    numbers = [n for n, token in enumerate(tokens) if token.kind == "number"]
    if not numbers:
        return None, ""
    leads = numbers[0] == 0 and len(tokens) > 1 and (tokens[0].unit or tokens[1].kind in ("mark", "unit"))
    at = numbers[0] if leads or len(numbers) == 1 else numbers[-1]
    unit_at = None if tokens[at].unit else _unit_beside(tokens, at)
    return at, tokens[at].text if unit_at is None else f"{tokens[at].text} {tokens[unit_at].text}"
