"""Cover: how the pairs of a line are filled. Plain sums, no Django, so that paper, page and test share one meaning."""

from collections.abc import Iterable
from dataclasses import dataclass

WORDS = {
    "sent": "sent",
    "set_aside": "set aside",
    "on_floor": "on the floor",
    "planned": "planned",
    "open": "open",
}


@dataclass(frozen=True)
class Cover:
    """Whole pairs, none below zero; together they are the pairs ordered. Raises ValueError for anything else."""

    sent: int = 0
    set_aside: int = 0
    on_floor: int = 0
    planned: int = 0
    open: int = 0

    def __post_init__(self):
        for name, pairs in self.parts:
            if type(pairs) is not int or pairs < 0:
                raise ValueError(f"{WORDS[name]}: {pairs!r} is not a whole number of pairs")

    @property
    def parts(self) -> tuple[tuple[str, int], ...]:
        """(name of the part, pairs) in the order in which the bar draws them, empty parts included."""
        return (
            ("sent", self.sent),
            ("set_aside", self.set_aside),
            ("on_floor", self.on_floor),
            ("planned", self.planned),
            ("open", self.open),
        )

    @property
    def pairs(self) -> int:
        """Pairs ordered."""
        return self.sent + self.set_aside + self.on_floor + self.planned + self.open

    @property
    def missing(self) -> int:
        """Pairs that stock does not fill yet, whether something hangs for them or not."""
        return self.on_floor + self.planned + self.open

    def in_words(self) -> str:
        """The bar for those who hear it: "504 pairs: 0 sent, 276 set aside, ... 36 open"."""
        in_all, told = self.pairs, ", ".join(f"{pairs:,} {WORDS[name]}" for name, pairs in self.parts)
        return f"{in_all:,} {'pair' if in_all == 1 else 'pairs'}: {told}"


def cover_of_line(line, on_floor: int = 0, planned: int = 0) -> Cover:
    """Cover of an order line (anything with `pairs`, `sent` and `set_aside`); what nothing fills is open.

    `on_floor`: pairs that hang for it; `planned`: pairs that frames of the dip plan are meant to give it. Raises
    ValueError where more is sent and set aside than was ordered.
    """
    return cover_of(line.pairs, line.sent, line.set_aside, on_floor, planned)


def cover_of(pairs: int, sent: int, set_aside: int, on_floor: int = 0, planned: int = 0) -> Cover:
    """The same from plain figures, of one line or added up over lines.

    Line and frames are read one after the other: a frame graded in between has its pairs counted as set aside
    already, so no more hangs than is still missing. That it never truly does is the audit's to say. A plan is older
    than what was hung and set aside since, so it fills only what these leave.
    """
    missing = pairs - sent - set_aside
    on_floor = max(0, min(on_floor, missing))
    planned = max(0, min(planned, missing - on_floor))
    return Cover(sent=sent, set_aside=set_aside, on_floor=on_floor, planned=planned, open=missing - on_floor - planned)


def add(covers: Iterable[Cover]) -> Cover:
    """One cover for many: part by part. Nothing to add gives a cover of no pairs."""
    kept = list(covers)
    return Cover(**{name: sum(getattr(cover, name) for cover in kept) for name in WORDS})
