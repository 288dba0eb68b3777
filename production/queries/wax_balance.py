"""Where the wax went in a time: from the store's movements, gradings, wick ends, and the levels of vats."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from django.db.models import F, Sum
from django.utils import timezone

from inventory.models import Candle, MaterialMovement
from inventory.models.material import WAX
from production.growth import USUAL_START
from production.models import DipRun, Frame, FrameUse, Grading, RunFrame, Step, Vat, VatReading, WickEnds
from production.models.frame import GRADED, OFF
from production.queries.growing import new_frames
from production.queries.wax import bath_of
from production.wax_balance import FILLED, READ, TOP_UP, At, Balance, Stretch, Take, in_all, stretches, taken_between
from production.wax_drawn import frame_grams
from production.wax_use import Bath

# What is read in the evening stands on wax that sets and shrinks: no measure of what is in the vat.
READINGS = {"level": READ, "morning": READ, "change-over": FILLED, "top-up": TOP_UP}


@dataclass(frozen=True)
class Span:
    """Days from `first` to `last`, both in it."""

    first: date
    last: date

    @property
    def moments(self) -> tuple[datetime, datetime]:
        """From the first day's beginning to before the next one after the last."""
        ends = self.first, self.last + timedelta(days=1)
        return tuple(timezone.make_aware(datetime.combine(day, time())) for day in ends)


def balance_of(span: Span) -> Balance:
    """The balance of all wax that was drawn from stock. Waxes without a blend draw nothing: their frames are left out.
    Five queries.
    """
    begins, ends = span.moments
    during = {"at__gte": begins, "at__lt": ends}
    uses = FrameUse.objects.filter(material__kind=WAX, **during).order_by()
    moved = MaterialMovement.objects.filter(lot__material__kind=WAX, **during).order_by()
    by_kind = dict(moved.values_list("kind").annotate(n=Sum("amount")))
    candles, remelt = _counted_off(uses)
    ends_in = WickEnds.objects.filter(kind="weighed in", **during).aggregate(n=Sum("grams", default=0))["n"]
    return Balance(
        drawn=uses.aggregate(n=Sum("amount", default=0))["n"],
        wasted=-by_kind.get("wasted", 0),
        recounted=by_kind.get("recounted", 0) + by_kind.get("put back", 0),
        candles=candles,
        remelt=remelt,
        ends=ends_in,
    )


def _counted_off(uses) -> tuple[int, int]:
    """Grams of firsts and seconds, and of pairs for remelt, of the frames that drew wax."""
    rows = Grading.objects.filter(frame__in=uses.values("frame")).order_by().values_list("frame__candle")
    pairs = {
        pk: (good, spoiled) for pk, good, spoiled in rows.annotate(n=Sum(F("firsts") + F("seconds")), m=Sum("remelt"))
    }
    weights = {row.pk: row.grams_a_pair for row in Candle.objects.filter(pk__in=pairs).select_related("wax")}
    sums = [sum(frame_grams(both[n], weights[pk]) for pk, both in pairs.items()) for n in (0, 1)]
    return sums[0], sums[1]


@dataclass(frozen=True)
class AtVat:
    """What is known of one vat in that time: its stretches as one, or None."""

    vat: Vat
    whole: Stretch | None
    stretches: int


def losses_by_vat(span: Span) -> list[AtVat]:
    """Every vat that is in use or was read in that time, by name. A constant number of queries."""
    begins, ends = span.moments
    readings = defaultdict(list)
    rows = VatReading.objects.filter(kind__in=READINGS, at__gte=begins, at__lt=ends).order_by("at", "pk")
    for row in rows:
        if row.level_mm is not None or row.kind == "top-up":
            readings[row.vat_id].append(row)
    vats = [vat for vat in Vat.objects.select_related("wax", "colour") if vat.active or vat.pk in readings]
    runs = list(
        DipRun.objects.filter(vat__in=readings, started_at__lt=ends).select_related("wax").order_by("started_at")
    )
    runs = [run for run in runs if run.ended_at is None or run.ended_at >= begins]
    takes = _takes(runs)
    found = []
    for vat in vats:
        over = [run for run in runs if run.vat_id == vat.pk]
        known = _stretches(vat, readings[vat.pk], over, [take for run in over for take in takes[run.pk]])
        found.append(AtVat(vat, in_all(known), len(known)))
    return found


def _stretches(vat: Vat, rows: list[VatReading], runs: list[DipRun], takes: list[Take]) -> list[Stretch]:
    """Between change-overs the vat holds one wax; each such time is reckoned by itself."""
    found, fill = [], []
    for event in [*map(_event, rows), None]:
        if event is None or event.kind == FILLED:
            found += stretches(fill, takes, _bath(vat, fill, runs)) if fill else []
            fill = []
        if event is not None:
            fill.append(event)
    return found


def _event(row: VatReading) -> At:
    return At(row.at, READINGS[row.kind], float(row.level_mm or 0), float(row.kilograms or 0) * 1000)


def _bath(vat: Vat, fill: list[At], runs: list[DipRun]) -> Bath:
    """The vat with the wax it held then: that of the last run begun before the fill's last reading."""
    begun = [run for run in runs if run.started_at <= fill[-1].at]
    bath = bath_of(vat)
    if not begun:
        return bath
    return Bath(bath.depth_mm, bath.area_mm2, bath.level_mm, bath.keep_mm, float(begun[-1].wax.density_liquid))


def _takes(runs: list[DipRun]) -> dict[int, list[Take]]:
    """By run: what its dips put on the frames, turn by turn where its steps tell, else all when the frame came off."""
    frames, dips = _frames_of(runs), defaultdict(list)
    for row in RunFrame.objects.filter(frame__in=frames, dips__gt=0).order_by("run__started_at", "run"):
        dips[row.frame_id].append((row.run_id, row.dips))
    by_key, steps, found = {run.pk: run for run in runs}, _dips_by_step(runs), defaultdict(list)
    for pk, frame in frames.items():
        before = 0
        for run, count in dips[pk]:
            told = steps.get((run, pk), [])
            if run in by_key and sum(after - first for _, (first, after) in told) != count:
                told = [(_off(frame, by_key[run]), (before, before + count))]
            found[run] += [Take(at, _grams(frame, part)) for at, part in told]
            before += count
    return found


def _frames_of(runs: list[DipRun]) -> dict[int, Frame]:
    """The frames of the runs, each with `in_all`: the dips of the whole frame, expected ones of those not finished."""
    rows = Frame.objects.filter(runs__run__in=runs).distinct().select_related("candle__wax", "candle__recipe")
    frames = {row.pk: row for row in rows.order_by("pk")}
    growing = {row.candle_id for row in frames.values() if row.state not in (OFF, GRADED)}
    new = new_frames(growing) if growing else {}
    for row in frames.values():
        expected = sum(new[row.candle_id].dips) if row.candle_id in growing and row.candle_id in new else 0
        row.in_all = max(1, row.dips, expected)
    return frames


def _dips_by_step(runs: list[DipRun]) -> dict[tuple[int, int], list[tuple[datetime, tuple[int, int]]]]:
    """By (run, frame): when which of its dips were done, counted over all stages."""
    found = defaultdict(list)
    rows = Step.objects.filter(run__in=runs, undone=False, before__has_key="dipped").order_by("at", "pk")
    for run, at, before in rows.values_list("run", "at", "before"):
        for frame, changed in before.get("frames", {}).items():
            if "dips" in changed:
                found[run, int(frame)].append((at, tuple(changed["dips"])))
    return found


def _off(frame: Frame, run: DipRun) -> datetime:
    """When the run had put its wax on the frame, at the latest."""
    return min(filter(None, (frame.off_at, run.ended_at)), default=run.started_at)


def _grams(frame: Frame, dips: tuple[int, int]) -> float:
    candle, recipe = frame.candle, getattr(frame.candle, "recipe", None)
    start = float(recipe.start_mm) if recipe else USUAL_START
    grams = frame_grams(frame.hung, candle.grams_a_pair)
    return taken_between(grams, min(start, float(candle.base_mm) / 2), float(candle.base_mm), frame.in_all, dips)
