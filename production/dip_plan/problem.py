"""What a dip plan is asked: vats, carousels, hours, candles, frames that hang, wants, pins. No Django.

Time is counted in whole seconds of work from the moment the plan begins: 0 is now (or the next opening), and a second
after closing time is the first second of the next working day. `Day` leads back to the clock. Diameters are done with
here: a stage is a number of dips, 1 or more. Lengths in mm, wax in g, pairs whole.

How the floor works, as every part of the plan reads it:

Baths
- A vat holds one bath (wax and colour) at a time. Colours change only at the start of a half-day, and the change-over
  takes `change_s[from][to]` seconds of work from there, in which nothing is dipped or hung in that vat. It may take
  longer than the half-day; then nothing hangs there before it is over, whatever change follows. A change at half-day
  0 is from `Vat.bath`. A vat may always keep the bath it holds now, whatever `may_hold` says, until it leaves it.

Turns
- One carousel turns over a vat, with so many positions. A turn dips every frame that hangs on it once and takes
  max(longest `turn_s` of what hangs, sum of `dip_s` over what hangs): frames in the turn they are hung in count too.
- While anything hangs, turns follow one another without a break: the next begins when the last ends. An empty
  carousel stands still and may begin at any second. A turn is not cut by closing time: one that does not fit before
  it is begun on the next working day. Noon cuts nothing, except where the bath changes.
- A frame is hung at the start of a turn (`Hanging.starts`), hangs through `REHANG_TURNS` turns undipped, and is dipped
  in every turn from then on (`first` is the start of the first of these, after the night where it does not fit)
  until its stage's dips are done (`ends` is the end of the last). Its position is free again at `ends`. A frame that
  hangs already when the plan begins is dipped from the first turn on (starts 0, no turn undipped).
- A frame stays where it hangs until its stage is done: the bath cannot change under it. Between two stages it waits
  off the carousel for as long as need be; hung again, it again hangs `REHANG_TURNS` turns undipped.
- New frames, and frames that wait, are hung only where their stage is done by the plan's last second (`horizon`). A
  frame whose next stage finds no place stays half dipped: its hangings are then the stages it got, from 0 on. A
  frame that hangs already keeps its vat in its bath until it is done, if need be into the days after the horizon.

Limits
- Not more than `threads[half]` new frames are hung in a half-day (the one `starts` lies in). Only the first stage of a
  new frame counts; frames started before and later stages need no threading.
- Not more new frames of a wax than `wax_g` has grams for: each takes its item's `wax_g` of the wax of its last stage.
- A candle must be covered: it hangs only over vats with `depth_mm` >= its `length_mm`.
- A pinned vat holds its bath, a pinned frame is hung in its half-day (at its position, if it names one). In frozen
  half-days the baths are as said, and just the new frames of `Frozen.hang` are hung, and those pinned. What hangs
  comes before pins, and pins come before what is frozen. A pin that cannot be kept is named in `Plan.said`.

Supply
- Finished, a frame hardens by the clock, nights and weekends included. Its pairs are there on the first working day
  whose closing time lies after that moment; where `days` has none, they are not there.
- New frames of an item add `counted[n] - counted[n - 1]` firsts each, in the order (hard, frame); frames beyond
  `most_frames` add none. A started frame adds its promised pairs to their wants, and its `spare` to the supply.
- Supply goes to the wants of its item in their order, in the order (ready, hard, frame) of the frames.

Cost
- A pair is late by the days (of the calendar) from `due` to the day it is there, times the want's `weight`; one that
  is not there at all by the date of the last half-day and `UNFILLED_DAYS` more. Promised pairs count just so. In a
  group of whole wants every pair is there when the last of the group's is (a whole want without a group is its own).
  Without a half-day, the last of `days` stands for that date; without a day, the last `due`.
- Change-over minutes: the seconds of all changes in the table of baths added up, in whole minutes (rounded down).
- Frames over: of each item the new frames hung beyond the fewest that, with the spares, are counted on for its wants.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime

REHANG_TURNS = 1
UNFILLED_DAYS = 6  # pairs not made by the plan's last day count as so many days later still
LATE, MINUTE, OVER = 100, 1, 1  # cost of a weighted late pair-day, a minute of change-over, a frame beyond the wants


@dataclass(frozen=True)
class Day:
    """A working day. `starts` to `ends` in seconds of work; `opens`, `closes` aware.

    `starts` is the second at `opens`, and work goes on without a break, so that closes - opens is ends - starts. The
    first day opens now, if it is half gone. Day follows day: `ends` is the next one's `starts`.
    """

    date: date
    opens: datetime
    closes: datetime
    starts: int
    ends: int


@dataclass(frozen=True)
class Half:
    """A half-day: the grain in which baths change. `day` is its place in `Problem.days`."""

    day: int
    starts: int
    ends: int


@dataclass(frozen=True)
class Bath:
    key: str  # "wax pk:colour pk" of the book, or a name
    name: str  # "ivory", or "beeswax, natural" where the wax is not the usual one
    hex: str  # as it is drawn
    wax: int  # place in Problem.wax_g


@dataclass(frozen=True)
class Vat:
    key: int
    name: str
    bath: int  # that it holds now, a place in Problem.baths
    depth_mm: int  # from its fullest level to the bottom: what covers a candle
    positions: int
    carousel: str  # that turns over it
    may_hold: frozenset[int]  # baths


@dataclass(frozen=True)
class Stage:
    """`dips` turns in one bath; `turn_s`: seconds between dips at least; `dip_s`: seconds a frame takes at the vat."""

    bath: int
    dips: int
    turn_s: int
    dip_s: int


@dataclass(frozen=True)
class Item:
    """A candle. `counted[k]`: firsts counted on from k new frames together, at the workshop's confidence; [0] is 0."""

    key: int
    code: str
    name: str
    stages: tuple[Stage, ...]
    pairs: int  # hung on a frame
    counted: tuple[int, ...]
    length_mm: int
    harden_s: int  # by the clock
    wax_g: int  # a frame takes, of the wax of its last stage

    @property
    def most_frames(self) -> int:
        return len(self.counted) - 1


@dataclass(frozen=True)
class Started:
    """A frame threaded or hung before the plan begins. `stages`: what is left of each, the present one first.

    `vat` and `position` where it hangs over a vat now; -1 for one that waits (half dipped or only threaded), which may
    hang anywhere that fits and needs no threading. `promised`: (want's place, pairs) it hangs for; `spare`: firsts
    counted on beyond those. `hard_s`: for a frame that is off already, seconds by the clock from days[0].opens until
    it is hard; it has no stages left.
    """

    key: int
    code: str
    item: int
    stages: tuple[Stage, ...]
    vat: int
    position: int
    promised: tuple[tuple[int, int], ...]
    spare: int
    hard_s: int = -1


@dataclass(frozen=True)
class Want:
    """Pairs of firsts of one item by `due`. `pairs` does not include what hangs for it (`Started.promised`).

    Supply goes to the wants of an item in their order here. Wants of one `group` with `whole` are worth nothing before
    all of them are there. `weight`: what a pair a day late counts.
    """

    key: int
    item: int
    pairs: int
    due: date
    weight: int
    label: str
    group: str = ""
    whole: bool = False


@dataclass(frozen=True)
class VatPin:
    """This vat holds this bath in that half-day."""

    vat: int
    half: int
    bath: int


@dataclass(frozen=True)
class FramePin:
    """A new frame of the item is hung over that vat in that half-day, at `position` (from 0) or anywhere (-1)."""

    item: int
    vat: int
    half: int
    position: int = -1


@dataclass(frozen=True)
class Frozen:
    """What an earlier plan says of the first `halves` half-days: baths by [vat][half], and new frames to hang in them
    as (item, vat, position, starts): they are hung with the turn that begins then, or the first one after it."""

    halves: int
    baths: tuple[tuple[int, ...], ...]
    hang: tuple[tuple[int, int, int, int], ...] = ()


@dataclass(frozen=True)
class Problem:
    """Everything a plan needs to know. `days` go on beyond the plan's last half-day, so that hardening has a day.

    `wax_g[w]`: grams of a wax in hand for new frames, None where nobody knows. `change_s[a][b]`: seconds of work.
    """

    days: tuple[Day, ...]
    halves: tuple[Half, ...]
    baths: tuple[Bath, ...]
    change_s: tuple[tuple[int, ...], ...]
    vats: tuple[Vat, ...]
    items: tuple[Item, ...]
    started: tuple[Started, ...]
    wants: tuple[Want, ...]
    threads: tuple[int, ...]
    wax_g: tuple[int | None, ...] = ()
    vat_pins: tuple[VatPin, ...] = ()
    frame_pins: tuple[FramePin, ...] = ()
    frozen: Frozen | None = None
    said: tuple[str, ...] = field(default_factory=tuple)  # what was left out, and why, in plain words
    names: Mapping[str, str] = field(default_factory=dict)

    @property
    def horizon(self) -> int:
        """Seconds of work the plan covers."""
        return self.halves[-1].ends if self.halves else 0
