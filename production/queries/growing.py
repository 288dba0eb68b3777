"""How frames grow: each one's line from its recipe, finished frames of its candle (or else its wax), its own readings.

Diameters in mm at the base, dips over all stages. A stage has a line of its own, begun where the last one ended.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil

from django.db.models import F, Prefetch, Window
from django.db.models.functions import RowNumber

from production.gauging import overshoot_warning
from production.growth import (
    DipsLeft,
    Line,
    Reading,
    aim_mm,
    carry_over,
    dips_left,
    usual_prior,
    with_readings,
)
from production.history import fit_history
from production.models import Frame, GaugeReading, Recipe, Stage
from production.models.frame import GRADED, OFF

FRAMES_LEARNT_FROM = 12  # of a candle or a wax, the latest: the workshop changes with the seasons
CHANCE = 0.9  # of the range that is shown


@dataclass(frozen=True)
class Growing:
    """What is known of one frame. `before` is the line of its stage without its own readings, `line` with them."""

    frame: Frame
    recipe: Recipe
    stage: Stage
    later: tuple[Stage, ...]
    readings: tuple[GaugeReading, ...]  # those of its stage that stand, earliest first
    before: Line
    line: Line
    to_mm: float  # where this stage ends

    @property
    def mm(self) -> float:
        """Likeliest diameter now."""
        return max(float(self.recipe.start_mm) / 2, self.line.at(self.frame.dips))

    @property
    def finishing(self) -> bool:
        """In a stage of a fixed number of dips."""
        return bool(self.stage.finish_dips)

    @property
    def left(self) -> DipsLeft:
        """Dips left in this stage."""
        if self.frame.done:
            return DipsLeft(0, 0, 0, CHANCE, "Done.")
        if self.finishing:
            left = max(0, self.stage.finish_dips - self.frame.stage_dips)
            return DipsLeft(left, left, left, CHANCE, f"{left} finish dip{'' if left == 1 else 's'} left.")
        return dips_left(self.line, self.frame.dips, self.to_mm, CHANCE)

    @property
    def left_in_all(self) -> tuple[int | None, int | None]:
        """Likely and most dips left over all stages; None where nobody can tell."""
        later = sum(self._dips_of(stage) for stage in self.later)
        left = self.left
        return tuple(None if dips is None else dips + later for dips in (left.likely, left.most))

    def _dips_of(self, stage: Stage) -> int:
        if stage.finish_dips:
            return stage.finish_dips
        begins, ends = self.to_mm, stage_end(self.recipe, stage, [each for each in self.later if each is not stage])
        return max(0, round((ends - begins) / float(stage.growth_mm)))

    @property
    def warning(self) -> str:
        """Before the gauge is overshot; empty where that is far."""
        if self.frame.done or (self.later and not self.finishing and self.stage.until_mm):
            return ""
        return overshoot_warning(self.line, self.frame.dips, self.recipe.gauge_high_mm)


def stage_end(recipe: Recipe, stage: Stage, later: Iterable[Stage]) -> float:
    """The diameter to dip to in that stage: its own, or the gauge less what finish dips after it still put on."""
    if stage.until_mm is not None:
        return float(stage.until_mm)
    finish = sum(float(each.growth_mm) * each.finish_dips for each in later)
    return aim_mm(recipe.gauge_low_mm, recipe.gauge_high_mm, stage.growth_mm) - finish


def growing_of(frames: Iterable[Frame]) -> dict[int, Growing]:
    """By frame: how it grows. Frames of candles without a recipe are left out.

    Five queries, however many frames, none for no frames; two more where a candle has no finished frame and its wax
    is asked instead.
    """
    frames = list(frames)
    if not frames:
        return {}
    candles = {frame.candle_id for frame in frames}
    recipes = _recipes(candles)
    readings = defaultdict(list)
    keys = [frame.pk for frame in frames]
    for reading in GaugeReading.objects.standing().filter(frame__in=keys).select_related("person"):
        readings[reading.frame_id].append(reading)
    past, of_wax = _past(candles, recipes)
    return {
        frame.pk: _growing(frame, recipes[frame.candle_id], readings[frame.pk], past, of_wax)
        for frame in frames
        if frame.candle_id in recipes
    }


def _recipes(candles: set[int]) -> dict[int, Recipe]:
    """By candle: its recipe, where it has one with a stage."""
    stages = Prefetch("stages", Stage.objects.select_related("wax", "colour"))
    rows = Recipe.objects.filter(candle__in=candles).select_related("candle").prefetch_related(stages)
    return {row.candle_id: row for row in rows if row.stages.all()}


def _past(candles: set[int], recipes: dict[int, Recipe]):
    """Readings of finished frames by (candle, stage), and by (wax, stage) for waxes of candles that have none."""
    past = _finished("candle", candles)
    known = {candle for candle, _ in past}
    new = {recipe.candle.wax_id for candle, recipe in recipes.items() if candle not in known}
    return past, _finished("candle__wax", new) if new else {}


def _prior(recipe: Recipe, stage: Stage, past, of_wax) -> Line:
    """What is expected of a stage. A candle's own frames know it best; before there are any, another candle of the
    same wax grows much alike."""
    alike = past.get((recipe.candle_id, stage.place)) or of_wax.get((recipe.candle.wax_id, stage.place), ())
    return fit_history(alike, usual_prior(recipe.start_mm, stage.growth_mm))


@dataclass(frozen=True)
class NewFrame:
    """What a frame of a candle takes from its first dip to its last: the likely dips of each of its stages."""

    recipe: Recipe
    stages: tuple[Stage, ...]
    dips: tuple[int, ...]


def new_frames(candles: Iterable[int]) -> dict[int, NewFrame]:
    """By candle: what a frame threaded now takes. Candles without a recipe are left out. At most six queries."""
    candles = set(candles)
    recipes = _recipes(candles)
    past, of_wax = _past(candles, recipes)
    return {candle: _new_frame(recipe, past, of_wax) for candle, recipe in recipes.items()}


def _new_frame(recipe: Recipe, past, of_wax) -> NewFrame:
    stages, line, dips = list(recipe.stages.all()), None, []
    for n, stage in enumerate(stages):
        prior = _prior(recipe, stage, past, of_wax)
        line = prior if line is None else carry_over(line, sum(dips), prior)
        to_mm = stage_end(recipe, stage, stages[n + 1 :])
        likely = stage.finish_dips or dips_left(line, sum(dips), to_mm, CHANCE).likely
        # A line that never gets there (history says it hardly grows) is worth no more than the recipe's own word.
        dips.append(likely or _by_recipe(stage, line.at(sum(dips)), to_mm))
    return NewFrame(recipe, tuple(stages), tuple(dips))


def _by_recipe(stage: Stage, from_mm: float, to_mm: float) -> int:
    """Dips by the recipe's own growth, one at least."""
    return max(1, ceil((to_mm - from_mm) / float(stage.growth_mm)))


def _finished(kin: str, keys) -> dict[tuple[int, int], list[list[Reading]]]:
    """By (key, stage): readings of the latest finished frames of one kin, "candle" or "candle__wax"; a list each."""
    latest = (
        Frame.objects.filter(**{f"{kin}__in": keys}, state__in=(OFF, GRADED))
        .annotate(nth=Window(RowNumber(), partition_by=kin, order_by=[F("off_at").desc(), F("pk").desc()]))
        .filter(nth__lte=FRAMES_LEARNT_FROM)
    )
    frames = dict(latest.order_by().values_list("pk", kin))
    found = defaultdict(lambda: defaultdict(list))
    rows = GaugeReading.objects.standing().filter(frame__in=frames).order_by("frame_id", "dips", "pk")
    for frame, stage, dips, mm in rows.values_list("frame", "stage", "dips", "mm"):
        found[frames[frame], stage][frame].append(Reading(dips, mm))
    return {key: list(by_frame.values()) for key, by_frame in found.items()}


def _growing(frame: Frame, recipe: Recipe, rows: list[GaugeReading], past, of_wax) -> Growing:
    stages = list(recipe.stages.all())
    now = next((n for n, stage in enumerate(stages) if stage.place >= frame.stage), len(stages) - 1)
    line = None
    for n, stage in enumerate(stages[: now + 1]):
        prior = _prior(recipe, stage, past, of_wax)
        before = prior if line is None else carry_over(line, _begun(frame, rows, stages, n, now), prior)
        own = [row for row in rows if row.stage == stage.place]
        line = with_readings(before, [Reading(row.dips, row.mm) for row in own])
    stage, later = stages[now], stages[now + 1 :]
    return Growing(frame, recipe, stage, tuple(later), tuple(own), before, line, stage_end(recipe, stage, later))


def _begun(frame: Frame, rows, stages, n: int, now: int) -> int:
    """Dips over all stages when the n-th stage began; of one long past the first reading in it, the best there is."""
    present = frame.dips - frame.stage_dips
    if n == now:
        return present
    return min((row.dips for row in rows if row.stage == stages[n].place), default=present)
