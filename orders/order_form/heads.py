"""The head of a form that came back: its number, the reference, the day, the address, a word. No Django.

A label and its value are found wherever they stand, side by side in a row in either order, or in one cell behind a
colon.
"""

import re
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from inventory.sheets import Row
from orders.order_form.parts import LABELS, plain

_LABEL_OF = {plain(label): name for name, label in LABELS.items()}
_NUMBER = re.compile(r"OF[-\s]*(\d{1,9})", re.IGNORECASE)
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_ISO = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})(?: 00:00)?")
_SLASHED = re.compile(r"(\d{1,2})[/.\-](\d{1,2})[/.\-](\d{4}|\d{2})")
_SPOKEN = re.compile(
    r"(?:[a-z]+,? )?(\d{1,2})(?:st|nd|rd|th)?(?: of)?[ \-]([a-z]{3,9})\.?,?(?:[ \-](\d{4}|\d{2}))?", re.I
)
_MONTH_FIRST = re.compile(r"(?:[a-z]+,? )?([a-z]{3,9})\.? (\d{1,2})(?:st|nd|rd|th)?,?(?: (\d{4}))?", re.I)
HALF_A_YEAR = timedelta(days=183)


@dataclass(frozen=True)
class Head:
    """Texts as they stand in the form. `rows`: the numbers of the rows they stand in; `rest`: what else stands in
    those, each text with its row.
    """

    number: str = ""
    reference: str = ""
    day: str = ""
    address: str = ""
    notes: str = ""
    rows: frozenset[int] = frozenset()
    rest: tuple[tuple[int, str], ...] = ()

    @property
    def form(self) -> int | None:
        """The form's number; None where it is gone or is none of ours."""
        found = _NUMBER.fullmatch(self.number)
        return int(found[1]) if found else None


def read_head(rows: Iterable[Row]) -> Head:
    """The head among these rows. What stands twice is taken from where it says something first; notes are joined."""
    found: dict[str, list[tuple[int, str]]] = {name: [] for name in LABELS}
    taken = set()
    for row in rows:
        name, said = _label_in(row)
        if name:
            taken.add(row.number)
            found[name] += [(row.number, text) for text in said]
    notes = [text for _, text in found.pop("notes")]
    first = {name: said[0][1] if said else "" for name, said in found.items()}
    return Head(
        number=first["form"],
        reference=first["reference"],
        day=first["day"],
        address=first["address"],
        notes=" ".join(notes),
        rows=frozenset(taken),
        rest=tuple(one for said in found.values() for one in said[1:]),
    )


def _label_in(row: Row) -> tuple[str, list[str]]:
    """The label of a row and the other texts in it; ("", []) for a row without one."""
    for column, cell in enumerate(row.cells):
        label, _, behind = cell.partition(":")
        name = _LABEL_OF.get(plain(label))
        if name:
            others = [behind, *row.cells[:column], *row.cells[column + 1 :]]
            return name, [text.strip() for text in others if text.strip()]
    return "", []


def read_day(text: str, today: date, offered: Collection[date]) -> date | None:
    """The day somebody wrote; None where it is no plain day.

    12/9 is the twelfth of September, unless only the ninth of December was `offered`. Without a year it is the next
    such day.
    """
    text = " ".join(text.split())
    if found := _ISO.fullmatch(text):
        return _day(int(found[1]), int(found[2]), int(found[3]))
    if found := _SLASHED.fullmatch(text):
        one, two, year = int(found[1]), int(found[2]), int(found[3]) % 100 + 2000
        ways = [when for when in (_day(year, two, one), _day(year, one, two)) if when]
        return next((when for when in ways if when in offered), next(iter(ways), None))
    if found := _SPOKEN.fullmatch(text):
        number, month, year = found[1], found[2], found[3]
    elif found := _MONTH_FIRST.fullmatch(text):
        month, number, year = found[1], found[2], found[3]
    else:
        return None
    if month[:3].lower() not in _MONTHS:
        return None
    at = _MONTHS.index(month[:3].lower()) + 1
    if year:
        return _day(int(year) % 100 + 2000, at, int(number))
    this, following = _day(today.year, at, int(number)), _day(today.year + 1, at, int(number))
    return this if this and this >= today - HALF_A_YEAR else following


def _day(year: int, month: int, number: int) -> date | None:
    try:
        return date(year, month, number)
    except ValueError:
        return None
