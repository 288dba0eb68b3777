"""What becomes of a row that is loaded. No Django."""

from dataclasses import dataclass

NEW, CHANGED, UNCHANGED, LEFT_OUT = "new", "changed", "unchanged", "left out"


@dataclass(frozen=True)
class Outcome:
    """`row` as the spreadsheet counts; `label`: what it is of (a candle's code, a shop); `said`: what happens."""

    row: int
    what: str
    label: str
    said: str = ""
