"""Figures in sentences. No Django here."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal


def counted(number: int, one: str, many: str = "") -> str:
    """ "1 pair", "1,930 pairs": the figure with its word in the right number. `many` where it is not `one` + s."""
    return f"{number:,} {one if number == 1 else many or one + 's'}"


def in_pairs(number: int) -> str:
    return counted(number, "pair")


def day(when: date) -> str:
    """A day as it is said: "12 March 2026"."""
    return f"{when.day} {when:%B %Y}"


def measure(figure: Decimal) -> str:
    """A measure without noughts behind the point that say nothing: "22", "22.5"."""
    return f"{figure:f}".rstrip("0").rstrip(".") if "." in f"{figure:f}" else f"{figure:f}"


def per_cent(share: float, decimals: int = 0) -> str:
    """A share of one as people read it: 0.043 with one decimal is "4.3 %"."""
    return f"{100 * share:.{decimals}f} %"


def listed(items: Sequence[str], room: int) -> str:
    """ "48 of F-1, 2 of F-2 and 3 more": as many as fit into `room` signs, none cut in half, and how many did not."""
    if len(whole := ", ".join(items)) <= room:
        return whole
    for count in range(len(items) - 1, 0, -1):
        if len(said := f"{', '.join(items[:count])} and {len(items) - count:,} more") <= room:
            return said
    return f"{len(items):,} in all"
