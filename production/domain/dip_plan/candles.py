"""Candles as the planner knows them: dips by stage, pairs on a frame, firsts counted on, wax."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import ceil

from inventory.models import Candle
from production.chances import Rate, counted_on, frames_to_hang
from production.dip_plan.problem import Item, Stage
from production.models import FloorFigures, FrameKind
from production.models import Stage as RecipeStage
from production.queries.dip_list import last_kinds, usual_load
from production.queries.firsts import firsts_rates
from production.queries.growing import NewFrame, new_frames

MORE_FRAMES = 3  # counted on beyond what is wanted now: an order that is only asked about needs them
MOST_FRAMES = 400  # of one candle in one plan: more wait for the next

BathKey = tuple[int, int]  # wax, colour


@dataclass(frozen=True)
class Dippable:
    """A candle that can be dipped, before baths have places."""

    candle: Candle
    new: NewFrame
    kind: FrameKind
    per_frame: int
    counted: tuple[int, ...]
    handling_s: int

    @property
    def baths(self) -> list[BathKey]:
        return [(stage.wax_id, stage.colour_id) for stage in self.new.stages]

    def item(self, places: Mapping[BathKey, int]) -> Item:
        return Item(
            key=self.candle.pk,
            code=self.candle.code,
            name=self.candle.name,
            stages=planned_stages(zip(self.new.stages, self.new.dips, strict=True), places, self.handling_s),
            pairs=self.per_frame,
            counted=self.counted,
            length_mm=ceil(self.candle.length_mm),
            harden_s=self.new.recipe.harden_hours * 3600,
            wax_g=ceil(self.candle.grams_a_pair * self.per_frame),
        )


def planned_stages(
    rows: Iterable[tuple[RecipeStage, int]], places: Mapping[BathKey, int], handling_s: int
) -> tuple[Stage, ...]:
    """A recipe's stages with so many dips (left) each, as the planner has them.

    Stages that follow one another in the same bath are one to it, such as the build and its finish: the frame goes on
    hanging where it hangs.
    """
    found: list[Stage] = []
    for stage, dips in rows:
        bath = places[stage.wax_id, stage.colour_id]
        planned = Stage(bath, dips, int(stage.turn_minutes * 60), stage.seconds_in + handling_s)
        if found and (last := found[-1]).bath == bath:
            turn_s, dip_s = max(last.turn_s, planned.turn_s), max(last.dip_s, planned.dip_s)
            found[-1] = Stage(bath, last.dips + dips, turn_s, dip_s)
        else:
            found.append(planned)
    return tuple(found)


def dippable(needs: Mapping[int, int], figures: FloorFigures) -> tuple[dict[int, Dippable], list[str]]:
    """By candle, for candles with the pairs of firsts still needed (0: only known to the plan); and what is said of
    those that cannot be planned. At most twelve queries.
    """
    candles = Candle.objects.filter(pk__in=needs).select_related("wax", "colour").in_bulk()
    new, rates, last = new_frames(needs), firsts_rates(needs), last_kinds(needs)
    kinds, found, said = list(FrameKind.objects.filter(active=True)), {}, []
    for pk, candle in sorted(candles.items()):
        kind, per_frame = usual_load(kinds, candle, last.get(pk))
        if pk not in new or kind is None:
            why = "has no recipe yet" if pk not in new else "fits no kind of frame in use"
            if needs[pk]:
                said.append(f"{candle} {why}: its {needs[pk]:,} pairs are not planned.")
            continue
        counted = _counted(rates[pk], needs[pk], per_frame, float(figures.confidence))
        if counted[-1] < needs[pk]:
            said.append(f"{candle}: {len(counted) - 1} frames count for {counted[-1]:,} of {needs[pk]:,} pairs.")
        found[pk] = Dippable(candle, new[pk], kind, per_frame, counted, figures.handling_seconds)
    return found, said


def _counted(rate: Rate, need: int, per_frame: int, sure: float) -> tuple[int, ...]:
    frames = frames_to_hang(need, per_frame, rate.good, rate.of, sure).frames
    frames = MOST_FRAMES if frames is None else min(MOST_FRAMES, frames + MORE_FRAMES)
    return counted_on(frames, per_frame, rate.good, rate.of, sure)


def baths_of(candles: Iterable[Dippable]) -> set[BathKey]:
    return {bath for each in candles for bath in each.baths}
