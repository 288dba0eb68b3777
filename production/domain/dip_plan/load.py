"""The book as a question for the planner.

Everything is read with a fixed number of queries, however long the dip list. What cannot be planned (a candle without
a recipe, a vat without a carousel, no working hours) is left out and said; the rest is planned.
"""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from django.utils import timezone

from inventory.models import Colour, Wax
from production.dip_plan.problem import Bath, Half, Problem
from production.domain.dip_plan.candles import BathKey, Dippable, baths_of, dippable
from production.domain.dip_plan.days import WorkClock, work_clock
from production.domain.dip_plan.floor import (
    FloorNow,
    Over,
    frames_on_their_way,
    started_frames,
    vats_with_carousels,
)
from production.domain.dip_plan.frozen import freeze_first_day
from production.domain.dip_plan.pinned import frame_pins, pinned_baths, pins_within, vat_pins
from production.domain.dip_plan.wants import Line, lines_of_book, needs_of, planned_wants
from production.models import ChangeOver, DipPlan, FloorFigures, Frame, PlanPin
from production.queries.figures import floor_figures
from production.queries.hours import working_hours
from production.queries.plan_facts import facts_of_book
from production.queries.wax_in_hand import waxes_in_hand
from production.wax_in_hand import in_words


@dataclass(frozen=True)
class Loaded:
    """`facts`: what it was made from, by part, so that it can be said later what has changed (queries.plan_facts)."""

    problem: Problem
    clock: WorkClock
    facts: dict
    candles: Mapping[int, Dippable]

    @property
    def begins(self) -> datetime | None:
        return self.clock.begins


def load_problem(
    *,
    days: int | None = None,
    keeps_first_day: bool = True,
    what_if: Mapping | None = None,
    standing: DipPlan | None = None,
    now: datetime | None = None,
) -> Loaded:
    """The question as the book puts it `now`: the next `days` working days, with what the trial `what_if` changes.

    `keeps_first_day`: what the plan that stands says of the first working day stays (give it as `standing`, else it is
    looked up).
    """
    now, what_if, facts = now or timezone.now(), what_if or {}, facts_of_book()
    read = _read(what_if, days, now)
    problem = _problem(read, what_if, now)
    if keeps_first_day:
        problem = freeze_first_day(problem, read.clock, standing)
    return Loaded(problem, read.clock, facts, read.candles)


@dataclass
class _Read:
    """The book's rows that the question is made of, before they have places in it."""

    figures: FloorFigures
    clock: WorkClock
    frames: list[Frame]
    lines: list[Line]
    candles: dict[int, Dippable]
    vats: list[Over]
    pins: list[PlanPin]
    said: list[str]

    @property
    def baths(self) -> list[BathKey]:
        return sorted(baths_of(self.candles.values()) | {over.bath for over in self.vats} | pinned_baths(self.pins))


def _read(what_if: Mapping, days: int | None, now: datetime) -> _Read:
    figures = floor_figures()
    worked = [date.fromisoformat(day) for day in what_if.get("days_worked", ())]
    clock = work_clock(working_hours(), now, days or figures.plan_days, worked)
    frames, lines = frames_on_their_way(), lines_of_book(what_if)
    candles, said = dippable(needs_of(lines, frames), figures)
    vats, more = vats_with_carousels(frames, what_if)
    pins, left_out = pins_within(clock, vats, candles)
    return _Read(figures, clock, frames, lines, candles, vats, pins, said + more + left_out)


def _problem(read: _Read, what_if: Mapping, now: datetime) -> Problem:
    clock, vats, candles = read.clock, read.vats, read.candles
    places = {key: place for place, key in enumerate(read.baths)}
    items = {pk: place for place, pk in enumerate(sorted(candles))}
    wants, of_want = planned_wants(read.lines, items)
    floor = FloorNow(candles, places, items, vats, clock.begins or now, read.figures.handling_seconds)
    started, said = started_frames(read.frames, floor, of_want)
    waxes = waxes_in_hand(wax for wax, _ in places)
    wax_said = in_words(waxes.values())
    return Problem(
        days=clock.days,
        halves=clock.halves,
        baths=_baths(read.baths, list(waxes)),
        change_s=_change_overs(read.baths, read.figures),
        vats=tuple(over.planned(places) for over in vats),
        items=tuple(candles[pk].item(places) for pk in sorted(candles)),
        started=started,
        wants=wants,
        threads=threads_in(clock.halves, read.figures, what_if.get("hands", 0)),
        wax_g=tuple(each.grams for each in waxes.values()),
        vat_pins=vat_pins(read.pins, clock, vats, places),
        frame_pins=frame_pins(read.pins, clock, vats, items),
        said=(*read.said, *said, *_said_of(clock, vats), *([wax_said] if wax_said else ())),
        names={f"carousel:{over.vat.pk}": str(over.carousel.pk) for over in vats},
    )


def _baths(keys: list[BathKey], waxes: list[int]) -> tuple[Bath, ...]:
    """Wax and colour with how they are called and drawn: the wax is named where it is not the one mostly dipped."""
    names = Wax.objects.in_bulk(waxes)
    colours = Colour.objects.in_bulk([colour for _, colour in keys])
    usual = max(Counter(wax for wax, _ in keys).items(), key=lambda row: (row[1], -row[0]), default=(None, 0))[0]
    found = []
    for wax, colour in keys:
        name = colours[colour].name.lower()
        name = name if wax == usual else f"{names[wax].name}, {name}"
        found.append(Bath(f"{wax}:{colour}", name, colours[colour].hex, waxes.index(wax)))
    return tuple(found)


def _change_overs(baths: list[BathKey], figures: FloorFigures) -> tuple[tuple[int, ...], ...]:
    written = {
        ((row.from_wax_id, row.from_colour_id), (row.to_wax_id, row.to_colour_id)): row.minutes
        for row in ChangeOver.objects.all()
    }

    def minutes(before: BathKey, after: BathKey) -> int:
        if before == after:
            return 0
        usual = figures.change_colour_minutes if before[0] == after[0] else figures.change_wax_minutes
        return written.get((before, after), usual)

    return tuple(tuple(60 * minutes(before, after) for after in baths) for before in baths)


def threads_in(halves: Iterable[Half], figures: FloorFigures, more_hands: int) -> tuple[int, ...]:
    """Frames that the hands can thread in each half-day."""
    hands = max(0, figures.hands + more_hands)
    return tuple(hands * (half.ends - half.starts) // (60 * figures.thread_minutes) for half in halves)


def _said_of(clock: WorkClock, vats: list[Over]) -> list[str]:
    said = []
    if not clock.halves:
        said.append("No working hours are set up: no day can be planned. Set-up, Working hours.")
    if not vats:
        said.append("No vat is in use with a carousel to turn over it: nothing can be planned.")
    return said
