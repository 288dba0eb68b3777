"""One line of a pasted order taken apart: numbers, units, prices, sizes and words. No Django."""

import re
from collections.abc import Callable
from dataclasses import dataclass

from orders.reading.spoken import in_figures

PAIRS_WORDS = {"pair", "pairs", "pr", "prs"}
BOX_WORDS = {"box", "boxes", "bx", "bxs", "b", "case", "cases", "carton", "cartons"}
FILLERS = {"of", "the", "please", "pls", "candle", "candles", "qty", "quantity", "thanks"}

_UNIT = "|".join(sorted(PAIRS_WORDS | BOX_WORDS, key=len, reverse=True))
_SPACES = re.compile(r"[\s\u00a0\u2007\u202f\u200b\ufeff]+")
# 1,200 is one number where nothing but a blank or the end stands on either side; in "IV250,1,200" it is two columns.
_THOUSANDS = re.compile(r"(?<![\w.,])\d{1,3}(?:,\d{3})+(?![\w,])")
_CHUNK = re.compile(r'[^\s,;:()=|"“”]+|[,;:()=|]')
_NUMBER = re.compile(rf"(\d+)(\.0{{1,2}})?(x|×|\*|{_UNIT})?\.?", re.IGNORECASE)
_TIMES_NUMBER = re.compile(rf"[x×*](\d+)({_UNIT})?", re.IGNORECASE)
_NUMBER_TIMES_WORD = re.compile(r"(\d+)[x×*](\D.*)", re.IGNORECASE)
_WORD_TIMES_NUMBER = re.compile(r"(.+)[x×*](\d+)", re.IGNORECASE)
_SIZE = re.compile(r"\d+(?:\.\d+)?(?:[x×]\d+(?:\.\d+)?)*(?:mm)?", re.IGNORECASE)
_MONEY = re.compile(r"[£€$@].*|\d+\.\d\d|\d+p", re.IGNORECASE)
_MARK = re.compile(r"[-–—*•·x×=:,;()|+]+", re.IGNORECASE)
_SHAPES = (("mark", _MARK), ("money", _MONEY), ("size", _SIZE))
_LIST_MARK = re.compile(r"(?:[-–—*•·▪◦>]+|\(?\d{1,3}[.)])\s+(?=\S)")


@dataclass(frozen=True)
class Token:
    """kind: number, unit, size, money, word or mark. `value` of a number; `unit`: pairs or boxes; `cell` from 0."""

    kind: str
    text: str
    cell: int = 0
    value: int = 0
    unit: str = ""
    decimals: bool = False


def tidy(text: str) -> str:
    """Every kind of blank made one plain blank; NUL bytes, which no database keeps, taken out."""
    return _SPACES.sub(" ", text.replace("\x00", "")).strip()


def without_list_mark(text: str) -> str:
    """The line without its bullet or running number ("- ", "• ", "3. ", "3) ")."""
    return _LIST_MARK.sub("", text, count=1) if _LIST_MARK.match(text) else text


def join_thousands(text: str) -> str:
    return _THOUSANDS.sub(lambda found: found[0].replace(",", ""), text)


def unit_of(word: str) -> str:
    """ "pairs", "boxes" or nothing."""
    word = word.casefold().rstrip(".")
    return "pairs" if word in PAIRS_WORDS else "boxes" if word in BOX_WORDS else ""


def read_quantity(text: str) -> tuple[int, str] | None:
    """(number, "pairs" or "boxes") of "24", "1,200", "24.0", "24 pairs", "3b", "x 3 boxes", "2 doz" or "two boxes";
    None for all else.
    """
    tokens = [token for token in tokens_of(in_figures(tidy(text)), lambda _: False) if token.kind != "mark"]
    if not tokens or tokens[0].kind != "number" or len(tokens) > 2:
        return None
    number = tokens[0]
    if len(tokens) == 1:
        return number.value, number.unit or "pairs"
    return (number.value, tokens[1].unit) if tokens[1].kind == "unit" and not number.unit else None


def tokens_of(text: str, is_code: Callable[[str], bool], cell: int = 0) -> list[Token]:
    """The tokens of one cell, or of a line that has none. A chunk that is a code of the catalogue is always a word."""
    tokens: list[Token] = []
    for chunk in _CHUNK.findall(join_thousands(tidy(text))):
        after_at = bool(tokens) and tokens[-1].text == "@"
        tokens.extend([Token("money", chunk, cell)] if after_at else _classify(chunk, is_code, cell))
    return tokens


def prices_apart(tokens: list[Token]) -> list[Token]:
    """The line's tokens once more: beside a whole number, 3.00 is a price."""
    if not any(token.kind == "number" and not token.decimals for token in tokens):
        return tokens
    return [Token("money", token.text, token.cell) if token.decimals else token for token in tokens]


def _classify(chunk: str, is_code: Callable[[str], bool], cell: int) -> list[Token]:
    if is_code(chunk):
        return [Token("word", chunk, cell)]
    if found := _NUMBER.fullmatch(chunk):
        return _number(found[1], found[3] or "", cell, chunk, bool(found[2]))
    if found := _TIMES_NUMBER.fullmatch(chunk):
        return [Token("mark", "x", cell), *_number(found[1], found[2] or "", cell, chunk[1:])]
    if (found := _NUMBER_TIMES_WORD.fullmatch(chunk)) and is_code(found[2]):
        return [*_number(found[1], "x", cell, found[1]), Token("word", found[2], cell)]
    if (found := _WORD_TIMES_NUMBER.fullmatch(chunk)) and is_code(found[1]):
        return [Token("word", found[1], cell), *_number(found[2], "", cell, found[2])]
    kind = next((kind for kind, shape in _SHAPES if shape.fullmatch(chunk)), "unit" if unit_of(chunk) else "word")
    return [Token(kind, chunk, cell, unit=unit_of(chunk))]


def _number(digits: str, tail: str, cell: int, text: str, decimals: bool = False) -> list[Token]:
    # Python refuses to read numbers of thousands of digits; a dozen is absurd enough to be told so.
    if len(digits) > 12:
        return [Token("word", text, cell)]
    times = [Token("mark", "x", cell)] if tail in ("x", "×", "*", "X") else []
    return [Token("number", text, cell, int(digits), "" if times else unit_of(tail), decimals), *times]
