"""A year of graded frames behind the demo's lots: their dip runs, gauge readings and gradings, written in bulk."""

import random
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from decimal import Decimal

from django.utils import timezone

from config.demo.floor import WAXES, Works
from config.demo.stock import Hung
from inventory.models import Candle, Lot
from production.models import Carousel, DipRun, Frame, GaugeReading, GradedFault, Grading, RunFrame, Vat
from production.models.frame import GRADED

BATCH = 500
MOST_FRAMES = 8  # in one run: more are a run of their own
TURN = timedelta(minutes=4)
READ_AT = (0.3, 0.6, 0.85, 1.0)  # shares of a frame's dips after which it was gauged
SCATTER_MM, FRAMES_APART = 0.12, 0.018  # mm about the line; mm a dip between frames. Invented


@dataclass
class PlannedRun:
    """A run of the past: frames of one shade and day over one vat."""

    code: str
    day: date
    carousel: Carousel
    vat: Vat
    frames: list[Hung] = field(default_factory=list)


@dataclass(frozen=True)
class Year:
    """The year's runs, and by id of a hung frame its run and its code."""

    runs: list[PlannedRun]
    run_of: dict[int, PlannedRun]
    code_of: dict[int, str]


def plan_year(
    hung: Iterable[Hung], works: Works, candles: Sequence[Candle], first_frame: int = 1, taken: Sequence[str] = ()
) -> Year:
    """Put the frames into runs and number both as they came. `taken`: codes of runs there are already."""
    in_turn = sorted(hung, key=lambda frame: (frame.day, frame.shade, frame.candle))
    runs: list[PlannedRun] = []
    numbers = Counter(code[:3] for code in taken)
    for frame in in_turn:
        last = runs[-1] if runs else None
        if not last or (last.day, last.frames[0].shade) != (frame.day, frame.shade) or len(last.frames) >= MOST_FRAMES:
            stem = f"R{frame.day:%y}"
            numbers[stem] += 1
            vats = works.vats_for(candles[frame.candle])
            code = f"{stem}{numbers[stem]:02d}"
            carousel = works.carousels[len(runs) % len(works.carousels)]
            last = PlannedRun(code, frame.day, carousel, vats[len(runs) % len(vats)])
            runs.append(last)
        last.frames.append(frame)
    return Year(
        runs,
        {id(frame): run for run in runs for frame in run.frames},
        {id(frame): f"F{number}" for number, frame in enumerate(in_turn, start=first_frame)},
    )


def write_year(
    rng: random.Random,
    year: Year,
    *,
    works: Works,
    candles: Sequence[Candle],
    lots: dict[int, Lot],
    people: Sequence,
) -> None:
    """The rows of the planned year. `lots` by id of their batch; `people`: who dips and grades."""
    rows = _Rows(rng, year, works, lots)
    dippings = [Dipping(candle) for candle in candles]
    for n, run in enumerate(year.runs):
        row = rows.add_run(run, candles[run.frames[0].candle], people[n % len(people)])
        for hung in run.frames:
            rows.add_frame(row, hung, dippings[hung.candle])
            rows.add_grading(hung, people[(n + hung.candle) % len(people)])
    rows.write()


class _Rows:
    """The year's rows, gathered one after the other and written at once."""

    def __init__(self, rng: random.Random, year: Year, works: Works, lots: dict[int, Lot]):
        self.rng, self.year, self.works, self.lots = rng, year, works, lots
        self.of: dict[type, list] = {
            model: [] for model in (DipRun, Frame, RunFrame, GaugeReading, Grading, GradedFault)
        }

    def write(self) -> None:
        for model, rows in self.of.items():
            model.objects.bulk_create(rows, batch_size=BATCH)

    def add_run(self, run: PlannedRun, candle: Candle, person) -> DipRun:
        row = DipRun(
            code=run.code, carousel=run.carousel, vat=run.vat, wax=candle.wax, colour=candle.colour,
            turn_minutes=Decimal(4), started_by=person, started_at=_at(run.day, 8), ended_at=_at(run.day, 16, 30),
        )  # fmt: skip
        self.of[DipRun].append(row)
        return row

    def add_frame(self, run: DipRun, hung: Hung, dipping: "Dipping") -> None:
        """The frame with its dips in the run and four gauge readings on the way."""
        growth, dips = dipping.of_frame(self.rng, hung.day)
        off_at, finish = _at(hung.day, 16), dipping.finish_dips
        frame = Frame(
            code=self.year.code_of[id(hung)], kind=self.works.kind_for(dipping.candle), candle=dipping.candle,
            state=GRADED, hung=hung.pairs, stage=2 if finish else 1, dips=dips + finish, stage_dips=finish or dips,
            done=True, threaded_at=off_at - TURN * dips - timedelta(hours=1), threaded_by=run.started_by,
            off_at=off_at, hard_at=off_at + timedelta(hours=dipping.harden_hours),
        )  # fmt: skip
        run.turns = max(run.turns, frame.dips)
        self.of[Frame].append(frame)
        self.of[RunFrame].append(RunFrame(run=run, frame=frame, dips=frame.dips))
        for share in READ_AT:
            after = max(1, round(dips * share))
            mm = max(0.5, dipping.start + growth * after + self.rng.gauss(0, SCATTER_MM))
            reading = GaugeReading(
                frame=frame, run=run, stage=1, dips=after, mm=Decimal(f"{mm:.2f}"), person=run.started_by,
                at=off_at - TURN * (dips - after + 1),
            )  # fmt: skip
            self.of[GaugeReading].append(reading)

    def add_grading(self, hung: Hung, person) -> None:
        """The grading of the frame added last."""
        seconds = [(batch, _made(batch)) for batch in hung.seconds]
        spoiled = sum(pairs for _, pairs in seconds)
        grading = Grading(
            frame=self.of[Frame][-1], firsts=hung.pairs - hung.remelt - spoiled, seconds=spoiled, remelt=hung.remelt,
            lot=self.lots[id(hung.firsts)], person=person, at=_at(hung.graded_on, 15),
        )  # fmt: skip
        self.of[Grading].append(grading)
        self.of[GradedFault] += [
            GradedFault(grading=grading, fault=batch.fault, pairs=pairs, lot=self.lots[id(batch)])
            for batch, pairs in seconds
        ]


class Dipping:
    """How one candle grows here: its recipe, with the drift of the seasons in it."""

    def __init__(self, candle: Candle):
        self.candle = candle
        recipe = candle.recipe
        stages = list(recipe.stages.all())
        self.start, self.harden_hours = float(recipe.start_mm), recipe.harden_hours
        self.finish_dips = sum(stage.finish_dips for stage in stages)
        self.growth = float(WAXES[candle.wax.name][3])
        finish_mm = sum(float(stage.growth_mm) * stage.finish_dips for stage in stages)
        self.to_mm = float(recipe.gauge_low_mm + recipe.gauge_high_mm) / 2 - finish_mm

    def of_frame(self, rng: random.Random, day: date) -> tuple[float, int]:
        """(mm a dip, dips) of one frame: a cool room in winter takes more wax on than a warm one in July."""
        season = 0.02 * (1 - abs(day.month - 7) / 3)
        growth = self.growth - season + rng.gauss(0, FRAMES_APART)
        return growth, max(2, round((self.to_mm - self.start) / growth))


def _made(batch) -> int:
    return sum(pairs for _, kind, pairs, _ in batch.moves if kind == "made")


def _at(day: date, hour: int, minute: int = 0) -> datetime:
    return timezone.make_aware(datetime.combine(day, time(hour, minute)))
