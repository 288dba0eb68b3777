"""What a line can turn out to be."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Read:
    """An understood row. `line` counts the block's lines from 1; `boxes` where the customer wrote boxes, `beside` what
    else stood in the cells behind the quantity.
    """

    code: str
    pairs: int
    boxes: int | None = None
    beside: str = ""
    text: str = ""
    line: int = 0


@dataclass(frozen=True)
class Doubt:
    """A line not understood: why, the candles nearest to it (codes), and what could be made of candle and quantity."""

    text: str
    why: str
    nearest: tuple[str, ...] = ()
    candle: str = ""
    quantity: str = ""
    line: int = 0


@dataclass(frozen=True)
class LeftOut:
    """A line that orders nothing, and what it was taken for."""

    text: str
    why: str
    line: int = 0


@dataclass(frozen=True)
class Reading:
    """A whole block. `told` are sentences worth saying: a total that disagrees, a note beside a row."""

    rows: tuple[Read, ...]
    doubts: tuple[Doubt, ...]
    left_out: tuple[LeftOut, ...]
    told: tuple[str, ...] = ()

    @property
    def in_order(self) -> list[Read | Doubt]:
        """Rows and doubts in the order in which they stood in the block."""
        return sorted((*self.rows, *self.doubts), key=lambda part: part.line)
