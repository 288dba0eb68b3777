"""Which loops run: compiled where the work is worth it, Python's own where it is small. No Django.

Both give the same numbers. Measured (season of PLANNING, 940 frames, one shared core): a table takes 25 ms in Python,
0.3 ms compiled, 0.04 ms where one part of it is simulated again; compiling takes 20 s of processor time, once, and
reading what was kept 1 s.
"""

from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

from production.dip_plan import search

PYTHON_COSTS_S = 26e-6 / 3  # a frame and move: most moves touch a third of the frames
WORTH_S = 3.0  # of Python: from here on it is compiled


class Loops(NamedTuple):
    """The search's two loops, and what makes a list fit for them."""

    begin: Callable[..., None]
    anneal: Callable[..., None]
    numbers: Callable[[Sequence[int]], Any]


def loops_for(moves: int, frames: int) -> Loops:
    """Loops for so many moves on a floor with so many frames."""
    if moves * frames * PYTHON_COSTS_S > WORTH_S:
        try:
            from production.dip_plan import compiled  # noqa: PLC0415 (imports numba)

            made = compiled.loops()
            return Loops(made["begin"], made["anneal"], compiled.array)
        except ImportError:
            pass  # without numba it takes longer, and comes to the same
    return Loops(search.begin, search.anneal, list)


def table_of(state: Sequence[int], table: int, cells: int) -> list[int]:
    """A table of baths out of a search's state."""
    return [int(bath) for bath in state[state[table] : state[table] + cells]]
