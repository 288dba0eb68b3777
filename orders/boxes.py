"""Boxes, what goes into them and what they weigh. No Django here: lengths in mm, weights in g, whole pairs."""

from collections.abc import Hashable, Iterable
from dataclasses import dataclass, field
from decimal import ROUND_HALF_UP, Decimal
from functools import cached_property

HEAVY_G = 16_000  # see lifting_caution


class CannotPack(ValueError):
    """No box takes this candle; the message names it and says why."""


@dataclass(frozen=True)
class Kind:
    """A kind of box: inside sizes in mm, weights in g (`limit_g` counts the empty box in)."""

    key: Hashable
    name: str
    length_mm: int
    width_mm: int
    height_mm: int
    tare_g: int
    limit_g: int
    standard: bool = False

    @property
    def volume(self) -> int:
        """Inside volume in mm3."""
        return self.length_mm * self.width_mm * self.height_mm


@dataclass(frozen=True, eq=False)
class Piece:
    """Pairs of one order line from one lot. All pieces of a line are of one candle.

    length_mm of the candle; grams a pair; per_box pairs to the standard box. Each piece is itself only (no comparing
    by value): packing asks a piece for its place and weight hundreds of thousands of times.
    """

    key: Hashable
    line: Hashable
    candle: str
    length_mm: Decimal
    grams: Decimal
    per_box: int
    pairs: int

    @cached_property
    def centigrams(self) -> int:
        """Weight of a pair in hundredths of a gram, whole, at least one."""
        return max(1, int(self.grams * 100))


@dataclass
class Filled:
    """One box of a proposal: its kind, and how many pairs of which piece (by the piece's key)."""

    kind: Kind
    contents: dict[Hashable, int] = field(default_factory=dict)


@dataclass(frozen=True)
class Proposal:
    """`least` is a proven lower bound on the number of boxes; `least_by` says what proves it."""

    boxes: list[Filled]
    least: int
    least_by: str

    def in_words(self) -> str:
        return boxes_in_words(len(self.boxes), self.least, self.least_by)


def boxes_in_words(boxes: int, least: int, least_by: str) -> str:
    """How far a number of boxes is from the lower bound: "7 boxes; 6 is the least possible by volume"."""
    counted = "1 box" if boxes == 1 else f"{boxes} boxes"
    if boxes <= least:
        return f"{counted}, the fewest possible"
    return f"{counted}; {least} is the least possible by {least_by}"


def weigh(contents: Iterable[tuple[Piece, int]], kind: Kind) -> tuple[Decimal, Decimal]:
    """Net and gross weight in g of a box: its pairs, and its pairs with the empty box."""
    net = sum((piece.grams * pairs for piece, pairs in contents), Decimal(0))
    return net, net + kind.tare_g


def lifting_caution(gross_g: Decimal) -> str:
    """A caution for a box above 16 kg, else nothing.

    16 kg: the first line usually drawn by general manual-handling guidance for lifting close to the body between
    knuckle and elbow height, whoever lifts (from memory; a filter, no legal limit).
    """
    if gross_g <= HEAVY_G:
        return ""
    return (
        f"{kilograms(gross_g)} kg with the box is above {HEAVY_G // 1000} kg, where general manual-handling guidance "
        "asks for a second look: two people or a trolley, close to the body. The rules of your own place come first."
    )


def kilograms(grams: Decimal) -> Decimal:
    """g as kg to 0.01 kg, half up, as papers print it."""
    return (Decimal(grams) / 1000).quantize(Decimal("0.01"), rounding=ROUND_HALF_UP)
