"""The floor as the plan finds it: vats with the carousels that turn over them, and frames on their way."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from math import ceil, floor

from production.dip_plan.problem import Stage as PlannedStage
from production.dip_plan.problem import Started
from production.dip_plan.problem import Vat as PlannedVat
from production.domain.dip_plan.candles import BathKey, Dippable, planned_stages
from production.domain.dip_plan.more_vats import carousels_more, vats_more
from production.models import Carousel, DipRun, Frame, HungFor, Vat
from production.models.frame import HANGING, OFF
from production.queries.growing import Growing, growing_of
from production.queries.on_floor import living_frames
from production.queries.wax import bath_of


@dataclass(frozen=True)
class Over:
    """A vat in use and the carousel that turns over it, or would."""

    vat: Vat
    carousel: Carousel
    may_hold: frozenset[int]  # waxes; empty: any

    @property
    def bath(self) -> BathKey:
        return self.vat.wax_id, self.vat.colour_id

    def planned(self, places: Mapping[BathKey, int]) -> PlannedVat:
        may = {place for bath, place in places.items() if not self.may_hold or bath[0] in self.may_hold}
        return PlannedVat(
            key=self.vat.pk,
            name=self.vat.name,
            bath=places[self.bath],
            depth_mm=floor(bath_of(self.vat).covered_full_mm),
            positions=self.carousel.positions,
            carousel=self.carousel.name,
            may_hold=frozenset({*may, places[self.bath]}),
        )


def vats_with_carousels(frames: Iterable[Frame], what_if: Mapping) -> tuple[list[Over], list[str]]:
    """Every vat in use, by name, with its run's carousel or an idle one, as the trial `what_if` has them; and what is
    said of the rest.

    An idle carousel goes where what hangs on it half dipped belongs, else an empty one with most positions goes first.
    """
    out = what_if.get("vats_out", ())
    vats = Vat.objects.filter(active=True).exclude(pk__in=list(out)).select_related("wax", "colour")
    vats = list(vats.prefetch_related("may_hold"))
    vats += vats_more(vats, what_if.get("vats_more", ()))
    runs = {run.vat_id: run.carousel for run in DipRun.objects.filter(ended_at=None).select_related("carousel")}
    turning = {carousel.pk for carousel in runs.values()}
    carousels = list(Carousel.objects.filter(active=True))
    carousels += carousels_more(carousels, what_if.get("carousels_more", 0))
    idle = [carousel for carousel in carousels if carousel.pk not in turning]
    hanging = [frame for frame in frames if frame.state == HANGING and not frame.done]
    found, said = [], []
    for vat in vats:
        carousel = runs.get(vat.pk)
        if carousel is None and idle:
            carousel = max(idle, key=lambda each: (_belongs(each, vat, hanging), each.positions, -each.pk))
            idle.remove(carousel)
        if carousel is None:
            said.append(f"{vat} has no carousel to turn over it: nothing is planned there.")
            continue
        found.append(Over(vat, carousel, frozenset(wax.pk for wax in vat.may_hold.all())))
    return found, said


def _belongs(carousel: Carousel, vat: Vat, hanging: list[Frame]) -> int:
    """How well an idle carousel suits: by the frames that hang half dipped on it, and what this vat holds."""
    on_it = [frame for frame in hanging if frame.carousel_id == carousel.pk]
    same = [f for f in on_it if (f.candle.wax_id, f.candle.colour_id) == (vat.wax_id, vat.colour_id)]
    return len(same) - (len(on_it) - len(same))


def frames_on_their_way() -> list[Frame]:
    """Threaded, hanging and hardening frames, the oldest first."""
    return list(living_frames().select_related("candle", "carousel").order_by("pk"))


@dataclass(frozen=True)
class FloorNow:
    """What the frames on their way are placed by."""

    candles: Mapping[int, Dippable]
    places: Mapping[BathKey, int]  # of baths
    items: Mapping[int, int]  # candle -> place
    vats: list[Over]
    begins: datetime
    handling_s: int


def started_frames(
    frames: list[Frame], now: FloorNow, wants: Mapping[int, int]
) -> tuple[tuple[Started, ...], list[str]]:
    """The frames as the planner has them; `wants`: want -> place. Frames of candles without an item are left out."""
    growing = growing_of(frames)
    promised: dict[int, list[tuple[int, int]]] = {}
    rows = HungFor.objects.filter(frame__in=[frame.pk for frame in frames]).values_list("frame", "want", "pairs")
    for frame, want, pairs in rows.order_by("pk"):
        if want in wants:
            promised.setdefault(frame, []).append((wants[want], pairs))
    found, said = [], []
    for frame in frames:
        if frame.candle_id not in now.items:
            said.append(f"Frame {frame.code} is left out: {frame.candle} has no recipe any more.")
            continue
        found.append(_started(frame, growing.get(frame.pk), now, tuple(promised.get(frame.pk, ()))))
    return tuple(found), said


def _started(frame: Frame, growing: Growing | None, now: FloorNow, promised) -> Started:
    stages, hard_s = _what_is_left(frame, growing, now)
    vat, position = _where(frame, stages, now)
    return Started(
        key=frame.pk,
        code=frame.code,
        item=now.items[frame.candle_id],
        stages=stages,
        vat=vat,
        position=position,
        promised=promised,
        spare=max(0, (frame.expected or 0) - frame.hung_for),
        hard_s=hard_s,
    )


def _what_is_left(frame: Frame, growing: Growing | None, now: FloorNow) -> tuple[tuple[PlannedStage, ...], int]:
    """(stages left with their dips, seconds until it is hard or -1 for one that is dipped on)."""
    dippable = now.candles[frame.candle_id]
    harden_s = dippable.new.recipe.harden_hours * 3600
    if frame.state == OFF:
        hard_at = frame.hard_at or frame.off_at
        return (), max(0, ceil((hard_at - now.begins).total_seconds()))
    left = _stages_left(frame, growing, dippable)
    if not left:
        # At gauge: it comes off with the next hand that is free.
        return (), harden_s
    return planned_stages(left, now.places, now.handling_s), -1


def _stages_left(frame: Frame, growing: Growing | None, dippable: Dippable) -> list[tuple]:
    """(stage, dips left) from the present stage on; of one that is done with its stage, from the next one on."""
    rows = list(zip(dippable.new.stages, dippable.new.dips, strict=True))
    if growing is None:
        return rows
    later = [(stage, dips) for stage, dips in rows if stage.place > growing.stage.place]
    if frame.done:
        return later
    likely = growing.left.likely
    if likely is None:
        # Nobody can tell from its readings: as many as a new one has left.
        fresh = next((dips for stage, dips in rows if stage.place == growing.stage.place), 1)
        likely = fresh - frame.stage_dips
    # At gauge, but nobody has marked it done: the next look does.
    return [(growing.stage, max(1, likely)), *later]


def _where(frame: Frame, stages: tuple[PlannedStage, ...], now: FloorNow) -> tuple[int, int]:
    """(vat, position) of a frame that goes on hanging where it hangs; (-1, -1) of one that waits or is off."""
    if frame.state != HANGING or frame.done or not stages:
        return -1, -1
    for place, over in enumerate(now.vats):
        if frame.position > over.carousel.positions:
            continue
        # Over a vat of another wax it cannot stay: the recipe was changed, or its run was ended.
        if over.carousel.pk == frame.carousel_id and now.places[over.bath] == stages[0].bath:
            return place, frame.position - 1
    return -1, -1
