"""What may stand in a cell, and what it means. Each reader takes a cell's text that is not blank and gives its value,
or raises ValueError in words that name the nearest value it would take. No Django.
"""

import re
from collections.abc import Callable, Hashable, Mapping
from datetime import date, datetime, timedelta
from decimal import ROUND_HALF_UP, Decimal, InvalidOperation
from difflib import get_close_matches

from inventory.words import day as said_day
from inventory.words import measure

Reader = Callable[[str], object]
YES = {"yes", "y", "true", "1", "x", "on", "ja", "oui"}
NO = {"no", "n", "false", "0", "off", "nein", "non", "-"}
DAYS = ("%Y-%m-%d", "%d/%m/%Y", "%d/%m/%y", "%d %b %Y", "%d %B %Y", "%d %b %y", "%Y/%m/%d", "%Y-%m-%d %H:%M")
MOST_OFFERED = 3
LONGEST_KEY = 200
_UNIT = re.compile(r"\s*(?:mm|cm|kg|g|%|days?|pairs?|GBP|EUR|USD)$", re.IGNORECASE)


def key(text: str) -> str:
    """A name as it is compared: capitals, blanks and signs make no difference, unless there is nothing else."""
    return re.sub(r"[\W_]+", "", text.casefold())[:LONGEST_KEY] or text.strip()[:LONGEST_KEY]


def same(text: str) -> str:
    """A name or code as two of one sheet are compared: capitals and the number of blanks make no difference."""
    return " ".join(text.casefold().split())


def text_of(most: int, shape: Callable[[str], str] = str) -> Reader:
    """Text of at most so many signs, shaped (str.upper, say)."""

    def read(text: str) -> str:
        if len(text) > most:
            raise ValueError(f"has {len(text)} signs; at most {most}, for instance “{text[:most].strip()}”.")
        return shape(text)

    return read


def number_of(
    *, places: int = 0, least: Decimal | int | None = None, most: Decimal | int | None = None
) -> Callable[[str], Decimal]:
    """A number with at most so many figures behind the point, within its bounds; a unit behind it may stand."""

    def read(text: str) -> Decimal:
        found = figure(text)
        exact = found.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP)
        nearest = exact if least is None else max(exact, Decimal(least))
        nearest = nearest if most is None else min(nearest, Decimal(most))
        if nearest == found:
            return exact
        if nearest != exact:
            bound = f"at least {measure(nearest)}" if found < nearest else f"at most {measure(nearest)}"
            raise ValueError(f"{measure(found)} is out of bounds: {bound}.")
        behind = f"at most {places} figures behind the point" if places else "whole numbers only"
        raise ValueError(f"{measure(found)}: {behind}; the nearest is {measure(nearest)}.")

    return read


def whole_of(*, least: int | None = None, most: int | None = None) -> Callable[[str], int]:
    read = number_of(least=least, most=most)
    return lambda text: int(read(text))


def figure(text: str) -> Decimal:
    """A number as typed: 1,200.50, 1.200,50, 2,5, £2.20, 250 mm. ValueError where it is none, in words."""
    raw = _UNIT.sub("", text.strip().replace("£", "").replace("€", "").replace("$", "").strip())
    digits = raw.replace(" ", "").replace("'", "")
    if "," in digits and "." in digits:
        group = "," if digits.rfind(".") > digits.rfind(",") else "."
        digits = digits.replace(group, "").replace(",", ".")
    elif re.fullmatch(r"-?\d{1,3}(?:,\d{3})+", digits):
        digits = digits.replace(",", "")
    else:
        digits = digits.replace(",", ".")
    if not re.fullmatch(r"-?\d{1,15}(?:\.\d{1,15})?|-?\.\d{1,15}", digits, re.ASCII):
        found = re.search(r"\d+(?:\.\d+)?", text)
        nearest = f" Is it {found[0]}?" if found else ""
        raise ValueError(f"“{text[:40]}” is no number.{nearest}")
    try:
        return Decimal(digits)
    except InvalidOperation:
        raise ValueError(f"“{text[:40]}” is no number.") from None


def yes_or_no(text: str) -> bool:
    said = text.strip().casefold()
    if said in YES:
        return True
    if said in NO:
        return False
    raise ValueError(f"“{text[:40]}”: yes or no.")


def day_of(*, least: date | None = None, most: date | None = None) -> Callable[[str], date]:
    """A day, the day before the month as it is written here, or as 2026-12-09; within its bounds."""

    def read(text: str) -> date:
        found = _day(text)
        if found is None:
            swapped = re.fullmatch(r"(\d{1,2})[/.-](\d{1,2})([/.-]\d{2,4})", text.strip())
            other = _day(f"{swapped[2]}/{swapped[1]}{swapped[3]}") if swapped else None
            hint = f" The day comes first: {other:%d/%m/%Y}?" if other else " Write it as 9/12/2026 or 2026-12-09."
            raise ValueError(f"“{text[:40]}” is no day.{hint}")
        if least and found < least:
            raise ValueError(f"{said_day(found)} is too early; the nearest is {said_day(least)}.")
        if most and found > most:
            raise ValueError(f"{said_day(found)} is too late; the nearest is {said_day(most)}.")
        return found

    return read


def _day(text: str) -> date | None:
    tidy = " ".join(text.split())
    cut = re.sub(r"(?<=\d)(?:st|nd|rd|th)\b", "", tidy)
    if re.fullmatch(r"\d{1,2}[.-]\d{1,2}[.-]\d{2,4}", cut):
        cut = re.sub(r"[.-]", "/", cut)
    for pattern in DAYS:
        try:
            found = datetime.strptime(cut, pattern).date()
        except ValueError:
            continue
        if date(1980, 1, 1) <= found <= date.today() + timedelta(days=3660):
            return found
    return None


def one_of(spellings: Mapping[str, Hashable], noun: str) -> Reader:
    """One of what is there, by any of its spellings; capitals, blanks and signs make no difference.

    Never guessed: what is not there is refused with the nearest spellings. A spelling that two share names none.
    """
    found: dict[str, set] = {}
    for spelling, value in spellings.items():
        found.setdefault(key(spelling), set()).add(value)

    def read(text: str):
        hits = found.get(key(text), set())
        if len(hits) == 1:
            return next(iter(hits))
        if hits:
            raise ValueError(f"“{text[:60]}” names more than one {noun}.")
        nearest = nearest_of(text, spellings)
        offered = f" Nearest: {', '.join(nearest)}." if nearest else " None is in the book yet."
        raise ValueError(f"There is no {noun} “{text[:60]}”.{offered}")

    return read


def nearest_of(text: str, spellings) -> list[str]:
    """The spellings most like the text, best first, one for each thing they name."""
    by_key = {spelling.casefold(): spelling for spelling in spellings}
    close = get_close_matches(text.casefold()[:80], by_key, n=MOST_OFFERED, cutoff=0.0)
    return [by_key[one] for one in close]
