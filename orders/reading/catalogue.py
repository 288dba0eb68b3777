"""Finding a candle of the catalogue in somebody's words: a code, a GTIN, a name or a part of one. No Django."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from inventory.likeness import likeness

LONGEST_TEXT = 80  # longer than any name in the catalogue
SHORTEST_PART = 3  # "iv" begins too many words to stand for one of them


@dataclass(frozen=True)
class Known:
    """What the reader knows of a candle. One that left the catalogue is still recognised, but never offered."""

    code: str
    name: str
    pairs_per_box: int = 1
    gtin: str = ""
    active: bool = True


def plain(text: str) -> str:
    """A code as people write it: "iv-250", "IV 250" and "IV.250" are all iv250."""
    return re.sub(r"[\s.\-–_/]", "", text).casefold()


def words_of(text: str) -> tuple[str, ...]:
    """Words and numbers of a name in small letters; "250 x 22 mm", "250x22" and "250 × 22" all give 250, 22."""
    found = re.findall(r"\d+(?:\.\d+)?|[^\W\d_]+", text.casefold())
    return tuple(word for word in found if word not in ("x", "mm"))


class Catalogue:
    """The candles, looked up in every way a customer may name them."""

    def __init__(self, known: Iterable[Known]):
        self.known = list(known)
        self.offered = [candle for candle in self.known if candle.active]
        self._codes = {plain(candle.code): candle for candle in self.known}
        self._gtins = {candle.gtin: candle for candle in self.known if candle.gtin}
        self._names = {candle: words_of(candle.name) for candle in self.known}
        self._exact = {words: candle for candle, words in self._names.items()}

    def by_code(self, text: str) -> Known | None:
        """The candle with this code or GTIN, however it is spaced."""
        return self._codes.get(plain(text)) or self._gtins.get(text.strip())

    def exactly(self, text: str) -> Known | None:
        """The candle whose code, GTIN or whole name this is."""
        return self.by_code(text) or self._exact.get(words_of(text))

    def name_words(self, candle: Known) -> tuple[str, ...]:
        return self._names[candle]

    def matching(self, words: Sequence[str]) -> list[Known]:
        """Candles in whose name every word occurs: numbers whole, words from their beginning, plurals as singulars.

        A number alone names nothing. The candle whose whole name it is stands for itself; one that left the catalogue
        is found where no other fits.
        """
        if not any(word.isalpha() for word in words):
            return []
        whole = self._exact.get(tuple(words))
        if whole:
            return [whole]
        fits = [candle for candle in self.known if all(in_name(word, self._names[candle]) for word in words)]
        return [candle for candle in fits if candle.active] or fits[:1]

    def typed(self, text: str) -> list[Known]:
        """Candles that fit what was typed so far: codes that begin so, then names that hold every word somewhere."""
        text = " ".join(text[:LONGEST_TEXT].casefold().split())
        if not text:
            return []
        by_code = [candle for candle in self.offered if plain(candle.code).startswith(plain(text) or "?")]
        in_names = [
            candle
            for candle in self.offered
            if candle not in by_code and all(word in candle.name.casefold() for word in text.split())
        ]
        return by_code + in_names

    def nearest(self, text: str, limit: int = 3) -> list[Known]:
        """The candles in the catalogue that look most like the text, best first."""
        text = " ".join(text[:LONGEST_TEXT].split())
        alike = sorted(self.offered, key=lambda candle: (-likeness(text, candle.code, candle.name), candle.code))
        return alike[:limit] if text else []


def in_name(word: str, name: Sequence[str]) -> bool:
    """Whether a word of the customer's is a word of the name: "tapers" and "tap" are "taper", "25" is not "250"."""
    if not word.isalpha():
        return word in name
    singular = word[:-1] if word.endswith("s") and len(word) > SHORTEST_PART else word
    return any(
        own in (word, singular) or (len(singular) >= SHORTEST_PART and own.startswith(singular)) for own in name
    )
