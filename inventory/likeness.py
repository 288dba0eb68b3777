"""How alike a few typed words and a candle are, misspelt or not. Plain text in, 0 to 1 out; no Django."""

from difflib import SequenceMatcher
from functools import lru_cache

MOST_WORDS = 8


def likeness(text: str, code: str, name: str) -> float:
    """0 to 1: how well what was typed fits the candle's code, its whole name, or word by word the two together."""
    text, code, name = text.lower(), code.lower(), name.lower()
    typed, own = text.split()[:MOST_WORDS], [code, *name.split()]
    by_word = sum(max(_ratio(word, other) for other in own) for word in typed) / len(typed) if typed else 0.0
    return max(_ratio(text, code), _ratio(text, name), by_word)


# A page of rows asks for the same few words against the same names again and again.
@lru_cache(maxsize=50_000)
def _ratio(one: str, other: str) -> float:
    return SequenceMatcher(None, one, other, autojunk=False).ratio()
