"""A small floor for the tests: a vat of ivory, a carousel over it, frames that may hang there."""

from dataclasses import dataclass, field
from datetime import UTC, datetime
from decimal import Decimal

from production.domain.frames import hang_frame
from production.domain.runs import begin_run
from production.models import Carousel, DipRun, Frame, GaugeReading, RunFrame, Vat
from tests.factories import make_candle, make_person
from tests.factories.floor import make_carousel, make_frame, make_frame_kind, make_recipe, make_stage, make_vat

NOON = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)  # a Wednesday
FRAME = (
    "state", "carousel_id", "position", "stage", "dips", "stage_dips", "done", "off_at", "hard_at", "hung_for",
)  # fmt: skip


@dataclass
class Floor:
    by: object
    vat: Vat
    carousel: Carousel
    candle: object
    run: DipRun = None
    frames: list[Frame] = field(default_factory=list)

    def now(self, row):
        """The row as the database has it."""
        return type(row).objects.get(pk=row.pk)


def make_floor(frames: int = 2, by=None, finish: bool = True, **run) -> Floor:
    """A run begun at noon with so many frames at positions 1, 2 ...; `finish`: one finish dip after the gauge."""
    by = by or make_person("dipper")
    vat, carousel = make_vat(name="Ivory vat", level_mm=Decimal("30")), make_carousel(name="Carousel 2")
    candle = make_candle(name="Ivory taper 250 x 22", wax=vat.wax, colour=vat.colour)
    recipe = make_recipe(candle)
    if finish:
        make_stage(recipe, place=2, finish_dips=1, celsius=Decimal("82"), growth_mm=Decimal("0.2"))
    floor = Floor(by, vat, carousel, candle)
    values = {"turn_minutes": Decimal("6"), "now": NOON, **run}
    floor.run = begin_run(carousel=carousel, vat=vat, by=by, **values)
    kind = make_frame_kind()
    for position in range(1, frames + 1):
        frame = make_frame(candle, kind=kind, by=by, code=f"F{position + 6}")
        hang_frame(frame=frame, carousel=carousel, position=position, by=by, now=NOON)
        floor.frames.append(Frame.objects.get(pk=frame.pk))
    return floor


def counters() -> dict:
    """Everything that steps change and undoing has to put back: rows by key, levels, the readings that stand."""
    runs = ("turns", "resting", "ended_at", "counting", "turn_minutes")
    readings = GaugeReading.objects.standing().order_by("frame", "dips", "mm")
    return {
        "frames": list(Frame.objects.order_by("pk").values_list("pk", *FRAME)),
        "runs": list(DipRun.objects.order_by("pk").values_list("pk", *runs)),
        "dipped": list(RunFrame.objects.order_by("run", "frame").values_list("run", "frame", "dips")),
        "levels": list(Vat.objects.order_by("pk").values_list("pk", "level_mm")),
        "readings": list(readings.values_list("frame", "run", "stage", "dips", "mm", "person", "at")),
    }
