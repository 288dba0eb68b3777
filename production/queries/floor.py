"""The floor as its pages read it: each carousel with its run, its frames, and what comes next."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Exists, F, Max, OuterRef, Q, QuerySet
from django.utils import timezone
from django.utils.safestring import SafeString

from production.carousel_svg import Over, Spot, draw_carousel
from production.clock import WorkingHours, turns_done_at
from production.gauging import out_of_line
from production.growth import Reading, with_readings
from production.growth_svg import Gauge, Mark, draw_growth
from production.models import Carousel, DipRun, Frame, Step
from production.models.frame import HANGING, THREADED
from production.models.run import BY_CLOCK
from production.queries.growing import Growing, growing_of
from production.queries.hours import working_hours


@dataclass(frozen=True)
class Judged:
    """A reading that stands, with why it is out of line; empty where it fits."""

    row: object
    odd: str


@dataclass
class Hung:
    """One frame on a carousel, and what is known of it. `at`: when the likely and the latest last dip of its stage."""

    frame: Frame
    growing: Growing | None
    at: tuple[datetime | None, datetime | None] = (None, None)

    @property
    def left_in_words(self) -> str:
        """ "10 to 12 dips left"; what is to be done where none is."""
        if self.growing is None:
            return "no recipe"
        left, more = self.growing.left, self.growing.later
        if self.frame.done:
            return "done, next stage" if more else "done, take off"
        if not left.likely:
            at_end = "at gauge" if self.growing.stage.until_mm is None else "stage done"
            return "needs a reading" if left.likely is None else at_end
        dips = f"{left.likely} dip{'' if left.likely == 1 else 's'} left"
        if left.most is None or left.most > 2 * left.likely:
            return f"about {dips}"
        return dips if left.fewest == left.most else f"{left.fewest} to {left.most} dips left"

    @property
    def share(self) -> float:
        """Present diameter over the middle of the gauge."""
        if self.growing is None:
            return 0.1
        recipe = self.growing.recipe
        return self.growing.mm / (float(recipe.gauge_low_mm + recipe.gauge_high_mm) / 2)

    @property
    def judged(self) -> list[Judged]:
        """Its readings in this stage, each against what was known before it."""
        found, rows = [], self.growing.readings if self.growing else ()
        for n, row in enumerate(rows):
            before = with_readings(self.growing.before, [Reading(each.dips, each.mm) for each in rows[:n]])
            odd = out_of_line(before, Reading(row.dips, row.mm))
            found.append(Judged(row, odd.words if odd else ""))
        return found

    def draw(self) -> SafeString:
        return draw_growing(self.growing, self.judged)


@dataclass
class Place:
    """A carousel as it stands now."""

    carousel: Carousel
    run: DipRun | None
    last_run: DipRun | None
    hung: list[Hung]
    last: Step | None = None

    @property
    def dipping(self) -> list[Hung]:
        return [each for each in self.hung if not each.frame.done]

    @property
    def next(self) -> Hung | None:
        """Who is over the vat: the first that is dipped in a turn."""
        return (self.dipping or [None])[0]

    @property
    def free(self) -> list[int]:
        taken = {each.frame.position for each in self.hung}
        return [place for place in range(1, self.carousel.positions + 1) if place not in taken]

    @property
    def warnings(self) -> list[str]:
        """Before any frame is overshot."""
        return [f"{each.frame}: {each.growing.warning}" for each in self.hung if each.growing and each.growing.warning]

    @property
    def stamp(self) -> str:
        """Changes whenever something of it does; a page that has this one needs no other."""
        rows = [
            f"{each.frame.pk}.{each.frame.version}.{len(each.growing.readings)}" for each in self.hung if each.growing
        ]
        run = f"{self.run.pk}.{self.run.version}.{self.run.vat.level_mm}" if self.run else ""
        return "-".join([run, str(self.last.pk if self.last else 0), *rows])

    def draw(self) -> SafeString:
        by_position = {each.frame.position: each for each in self.hung}
        spots = [_spot(place, by_position.get(place)) for place in range(1, self.carousel.positions + 1)]
        over = Over(self.run.vat.name, self.run.vat.colour.hex) if self.run else None
        at = self.next.frame.position if self.run and self.next else None
        return draw_carousel(spots, over=over, next_position=at, name=self.carousel.name)


def _spot(position: int, hung: Hung | None) -> Spot:
    if hung is None:
        return Spot(position)
    frame = hung.frame
    return Spot(
        position,
        frame.code,
        frame.candle.name,
        hung.left_in_words,
        hung.share,
        frame.candle.colour.hex,
        frame.done,
    )


def draw_growing(growing: Growing, judged: Iterable[Judged]) -> SafeString:
    """The growth picture of one frame in its present stage."""
    frame, recipe, left = growing.frame, growing.recipe, growing.left
    marks = [Mark(each.row.dips, float(each.row.mm), bool(each.odd)) for each in judged]
    gauge = Gauge(float(recipe.gauge_low_mm), float(recipe.gauge_high_mm), growing.to_mm)
    ahead = left.most if left.most is not None else (left.likely or 0)
    return draw_growth(
        growing.line,
        marks,
        gauge,
        begun=frame.dips - frame.stage_dips,
        dips=frame.dips,
        most=frame.dips + min(ahead, 200),
        name=frame.code,
    )


def floor_places(carousels: QuerySet[Carousel], now: datetime | None = None) -> list[Place]:
    """Each carousel as it stands. The same number of queries, however many carousels and frames."""
    now, rows = now or timezone.now(), list(carousels)
    frames = list(
        Frame.objects.filter(carousel__in=rows, state=HANGING)
        .select_related("candle__colour", "candle__wax", "kind")
        .prefetch_related("promises__want")
        .order_by("position")
    )
    growing, hours, runs = growing_of(frames), working_hours(), _runs(rows)
    last = _last_steps(runs)
    places = []
    for carousel in rows:
        latest = runs.get(carousel.pk)
        run = latest if latest and not latest.ended_at else None
        hung = [Hung(frame, growing.get(frame.pk)) for frame in frames if frame.carousel_id == carousel.pk]
        for each in hung:
            each.at = _reached(each, run, hours, now)
        places.append(Place(carousel, run, latest, hung, latest and last.get(latest.pk)))
    return places


def _runs(carousels: list[Carousel]) -> dict[int, DipRun]:
    """By carousel: its run that is on, else the last that was. A run whose beginning was undone never was."""
    undone = Step.objects.filter(run=OuterRef("pk"), kind="begin", undone=True)
    ended = DipRun.objects.filter(carousel__in=carousels, ended_at__isnull=False).exclude(Exists(undone))
    latest = ended.order_by().values("carousel").annotate(latest=Max("pk")).values("latest")
    rows = DipRun.objects.filter(Q(pk__in=latest) | Q(carousel__in=carousels, ended_at=None))
    found: dict[int, DipRun] = {}
    # The one that is on comes last, and stays.
    for run in rows.select_related("vat__wax__heat", "vat__colour").order_by(F("ended_at").asc(nulls_last=True)):
        found[run.carousel_id] = run
    return found


def _last_steps(runs: dict[int, DipRun]) -> dict[int, Step]:
    """By run: the step that undoing would undo."""
    keys = [run.pk for run in runs.values()]
    latest = Step.objects.filter(run__in=keys, undone=False).order_by().values("run").annotate(latest=Max("pk"))
    rows = Step.objects.filter(pk__in=latest.values("latest")).select_related("frame", "person")
    return {step.run_id: step for step in rows}


def _reached(hung: Hung, run: DipRun | None, hours: WorkingHours | None, now: datetime):
    """When the likely and the latest last dip of its stage are done, at the run's pace; None where nobody can tell."""
    if run is None or run.resting or hung.growing is None or hung.frame.done:
        return None, None
    left = hung.growing.left
    start = run.clock_from if run.counting == BY_CLOCK and run.clock_from else now
    return tuple(
        None if dips is None else turns_done_at(start, dips, run.turn_minutes, hours)
        for dips in (left.likely, left.most)
    )


def threaded_frames() -> QuerySet[Frame]:
    """Frames that hang nowhere and may be hung: new ones, and those set aside half dipped."""
    return Frame.objects.filter(state=THREADED).select_related("candle__colour", "candle__wax").order_by("pk")
