"""One figure measured, and whether it is what was aimed at."""

import json
import sys
from collections.abc import Iterable
from dataclasses import asdict, dataclass
from statistics import median
from time import process_time


@dataclass(frozen=True)
class Row:
    """`aim` is the most that `value` may be, or with `at_least` the least; None where it is only reported.

    `baseline` is the bare figure of the same run that `value` is held against, in the unit of `value`; `of` says what
    it is. None where nothing bare can be measured.
    """

    name: str
    value: float | None
    unit: str
    baseline: float | None = None
    of: str = ""
    aim: float | None = None
    at_least: bool = False
    note: str = ""

    @property
    def ratio(self) -> float | None:
        if self.value is None or not self.baseline:
            return None
        return self.value / self.baseline

    @property
    def met(self) -> bool | None:
        if self.value is None or self.aim is None:
            return None if self.aim is None else False
        return self.value >= self.aim if self.at_least else self.value <= self.aim

    def as_json(self) -> str:
        named = ("name", "value", "unit", "baseline", "ratio", "aim", "met")
        known = {**asdict(self), "ratio": self.ratio, "met": self.met}
        return json.dumps({name: known[name] for name in named} | {"of": self.of, "note": self.note})


def in_figures(value: float | None) -> str:
    if value is None:
        return "-"
    if value == int(value) and abs(value) < 1e12:
        return f"{int(value):,}"
    return f"{value:,.3g}" if abs(value) < 100 else f"{value:,.0f}"


def as_table(rows: Iterable[Row]) -> list[str]:
    """Lines of text, columns aligned."""
    cells = [("", "value", "aim", "met", "baseline", "")]
    for row in rows:
        aim = "" if row.aim is None else f"{'>=' if row.at_least else '<='} {in_figures(row.aim)}"
        met = {True: "yes", False: "NO", None: ""}[row.met]
        baseline = "" if row.baseline is None else f"{in_figures(row.baseline)} {row.of}"
        cells.append((row.name, f"{in_figures(row.value)} {row.unit}", aim, met, baseline, row.note))
    widths = [max(len(line[at]) for line in cells) for at in range(len(cells[0]))]
    return ["  ".join(cell.ljust(width) for cell, width in zip(line, widths, strict=True)).rstrip() for line in cells]


def timed(work, *args, **kwargs):
    """What it gives, and the processor seconds it took: others at work on the machine do not count."""
    started = process_time()
    given = work(*args, **kwargs)
    return given, process_time() - started


def middle(values: Iterable[float | None]) -> float | None:
    known = [value for value in values if value is not None]
    return median(known) if known else None


def spread(values: Iterable[float]) -> float:
    """Most less least, as a share of the median."""
    known = list(values)
    return (max(known) - min(known)) / (median(known) or 1)


def tell(sentence: str) -> None:
    """What is being measured now, for whoever waits; kept out of the figures."""
    sys.stderr.write(sentence + "\n")
    sys.stderr.flush()
