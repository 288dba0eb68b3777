"""What a dip plan answers: baths, hangings, and what every want gets when. No Django."""

from dataclasses import dataclass
from datetime import date, datetime


@dataclass(frozen=True)
class Hanging:
    """One frame over one vat for one stage. `frame`: its number in the plan, the same for all its stages.

    `started` is the place in Problem.started, or -1 for a new frame. `stage` is the place in the item's stages, or in
    the started frame's, where 0 is the one it was in when the plan began. Seconds of work: hung at `starts`, first dip
    done with the turn that begins at `first`, last one at `ends`. `nights`: closing times it hangs through.
    """

    frame: int
    item: int
    started: int
    stage: int
    vat: int
    position: int
    starts: int
    first: int
    ends: int
    dips: int
    nights: int


@dataclass(frozen=True)
class Ready:
    """A frame finished: by the clock, and the firsts counted on. `pairs`: all it adds, promised ones included.

    `off`: the moment of its last dip; for a frame that was off before the plan began, when the plan begins.
    """

    frame: int
    item: int
    started: int
    off: datetime
    hard: datetime
    ready: date
    pairs: int


@dataclass(frozen=True)
class Fill:
    """Pairs of a want out of one frame of the plan, those a started frame was promised to it among them."""

    want: int
    frame: int
    pairs: int
    ready: date


@dataclass(frozen=True)
class WantGets:
    """`done`: the day its last pair is there (of a whole group: the group's), None where the plan does not get so far,
    or where nothing was wanted of it. `open`: pairs of it, promised ones too, that no frame of the plan brings.

    `late`: weighted late pair-days, unfilled ones counted by the plan's last day and six more.
    """

    want: int
    done: date | None
    open: int
    late: int


@dataclass(frozen=True)
class Cost:
    """Weighted late pair-days, minutes of change-over, frames hung beyond what the wants need; and added up."""

    late: int
    change_minutes: int
    over: int
    total: int


@dataclass(frozen=True)
class Bound:
    """No plan does better than this; None where no useful bound is known. `how` says in words where it comes from."""

    late: int | None
    change_minutes: int | None
    over: int | None
    total: int | None
    how: str


@dataclass(frozen=True)
class Plan:
    """A simulated plan. `baths[vat][half]`. `claimed` is what the search believed it would cost."""

    baths: tuple[tuple[int, ...], ...]
    hangings: tuple[Hanging, ...]
    ready: tuple[Ready, ...]
    fills: tuple[Fill, ...]
    wants: tuple[WantGets, ...]
    cost: Cost
    claimed: int
    effort: str = ""
    seed: int = 0
    moves: int = 0
    cut: bool = False  # the clock cut the search, so the same effort may give another plan
    bound: Bound | None = None
    said: tuple[str, ...] = ()
