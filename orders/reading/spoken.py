"""Numbers of pairs as people say them: "2 doz", "a dozen", "two boxes", "=24+12". No Django."""

import re

ONES = {
    "a": 1, "an": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9,
    "ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14, "fifteen": 15, "sixteen": 16,
    "seventeen": 17, "eighteen": 18, "nineteen": 19,
}  # fmt: skip
TENS = {
    "twenty": 20, "thirty": 30, "forty": 40, "fifty": 50, "sixty": 60, "seventy": 70, "eighty": 80, "ninety": 90,
}  # fmt: skip
DOZENS = {"doz", "dz", "dozen", "dozens"}
POLITE = {"please", "pls", "thanks"}
_SUM = re.compile(r"=\s*\d{1,6}(?:\s*[+*]\s*\d{1,6}){0,20}\s*")
_HYPHEN = re.compile(r"(?<=[a-z])-(?=[a-z])")
_NUMBER_AND_WORD = re.compile(r"(\d+)([a-z]+)")


def in_figures(text: str) -> str:
    """What is said with the number in figures: "2 doz" is "24", "two boxes" "2 boxes", "=24+12" "36".

    Anything else comes back as it was: it is for the caller to doubt it.
    """
    if _SUM.fullmatch(text.strip()):
        return str(sum(_product(part) for part in text.strip()[1:].split("+")))
    words = [word.rstrip(".,!") for word in _HYPHEN.sub(" ", text.casefold()).split()]
    words = [word for word in words if word and word not in POLITE]
    if words and (joined := _NUMBER_AND_WORD.fullmatch(words[0])) and joined[2] in DOZENS:
        words[:1] = [joined[1], joined[2]]
    number, used = _number(words)
    if not used or words in (["a"], ["an"]):
        return text
    rest = words[used:]
    if rest and rest[0] in DOZENS:
        number, rest = number * 12, rest[1:]
    return text if len(rest) > 1 else " ".join([str(number), *rest])


def _product(part: str) -> int:
    found = 1
    for factor in part.split("*"):
        found *= int(factor)
    return found


def _number(words: list[str]) -> tuple[int, int]:
    """The number the words begin with, and how many words it takes; (0, 0) where they begin with none."""
    match words:
        case ["half", "a", dozen, *_] if dozen in DOZENS:
            return 6, 3
        case ["half", dozen, *_] if dozen in DOZENS:
            return 6, 2
        case [dozen, *_] if dozen in DOZENS:
            return 12, 1
        case [figures, *_] if figures.isascii() and figures.isdecimal() and len(figures) < 7:
            return int(figures), 1
    number, at = 0, 0
    while at < len(words):
        word = words[at]
        if word in TENS and number % 100 == 0:
            number += TENS[word]
        elif word in ONES and (number % 100 == 0 or (number % 10 == 0 and number % 100 > 10 and ONES[word] < 10)):
            number += ONES[word]
        elif word == "hundred" and 0 < number < 10:
            number *= 100
        elif not (word == "and" and number and number % 100 == 0 and set(words[at + 1 : at + 2]) & {*ONES, *TENS}):
            break
        at += 1
    return number, at
