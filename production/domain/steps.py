"""Steps of a run in the making: rows are changed in memory, compared step by step, and saved together.

A step keeps of every figure it changed what it was before and after, so that undoing it puts exactly that back, and
only where nothing else has changed it since. Rows are locked in one order: carousel, run, frame, vat.
"""

from datetime import UTC, datetime
from decimal import Decimal
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db.models import Exists, F, OuterRef
from django.utils import timezone

from inventory.words import day
from production.domain.levels import lower_level
from production.models import DipRun, Frame, RunFrame, Step
from production.models.frame import HANGING

RUN_FIGURES = ("turns", "resting", "ended_at", "clock_from", "counting", "turn_minutes")
FRAME_FIGURES = (
    "state",
    "carousel_id",
    "position",
    "stage",
    "dips",
    "stage_dips",
    "done",
    "off_at",
    "hard_at",
)
FAR = 1000  # beyond the positions of any carousel
MOST_DIPS = 999  # far above any candle; a counter that gets there counts a forgotten clock


def lock_run(pk: int) -> DipRun:
    """The run, locked, with its carousel and vat. Needs a transaction."""
    return DipRun.objects.select_for_update(of=("self",)).select_related("carousel", "vat__wax").get(pk=pk)


def run_at(carousel_id: int | None) -> DipRun | None:
    """The carousel's run: the one that is on, else the last that was. A run whose beginning was undone never was."""
    runs = DipRun.objects.filter(carousel=carousel_id)
    undone = Step.objects.filter(run=OuterRef("pk"), kind="begin", undone=True)
    return runs.filter(ended_at=None).first() or runs.exclude(Exists(undone)).order_by("pk").last()


def lock_hanging(carousel_id: int, *others: int) -> list[Frame]:
    """The frames on a carousel, and the others named, locked in the order of their keys. Needs a transaction."""
    hanging = Frame.objects.filter(carousel=carousel_id, state=HANGING).values_list("pk", flat=True)
    keys = {*hanging, *others}
    rows = Frame.objects.select_for_update(of=("self",)).select_related("candle__colour", "candle__wax", "kind")
    return list(rows.filter(pk__in=keys).order_by("pk"))


def done_before(tap: UUID | None) -> Step | None:
    """The step this tap has made already: a tap that comes twice is one step."""
    return Step.objects.select_related("run").filter(tap=tap).first() if tap else None


def refuse_ended(run: DipRun) -> None:
    """ValidationError for whatever comes after the run was closed."""
    if run.ended_at:
        ended = timezone.localtime(run.ended_at)
        raise ValidationError(
            f"Run {run} was ended on {day(ended)} at {ended:%H:%M}: this was not counted. Begin a new run first."
        )


class Doing:
    """What is being done in one (locked) run to some (locked) frames. Change rows, call `step`, at last `write`."""

    def __init__(self, run: DipRun, frames: list[Frame], *, note_dips: bool = False):
        self.run, self.frames = run, {frame.pk: frame for frame in frames}
        rows = run.frames.filter(frame__in=frames) if note_dips else ()
        self.rows = {row.frame_id: row for row in rows}
        self.dipped = {key: row.dips for key, row in self.rows.items()}
        self.steps: list[Step] = []
        self.fell_mm = Decimal(0)
        self._seen = self._now()
        self._first = self._seen

    def dip(self, frame: Frame, dips: int = 1) -> None:
        """Count dips of a frame in this run; its own counters are the caller's."""
        self.dipped[frame.pk] = max(0, self.dipped.get(frame.pk, 0) + dips)

    def step(self, kind: str, *, by, at: datetime, tap: UUID | None = None, frame=None, reason="", **more) -> Step:
        """Note what has changed since the last step as one step of this kind."""
        now = self._now()
        before = {name: _differences(self._seen[name], now[name]) for name in now}
        self._seen = now
        step = Step(
            run=self.run,
            kind=kind,
            frame=frame,
            turn=self.run.turns,
            before={**{name: what for name, what in before.items() if what}, **more},
            reason=reason[:200],
            tap=tap,
            person=by,
            at=at,
        )
        self.steps.append(step)
        return step

    def write(self) -> list[Step]:
        """Save every row that changed, and the steps."""
        now = self._now()
        if now["run"] != self._first["run"]:
            self.run.version += 1
            self.run.save(update_fields=[*RUN_FIGURES, "version"])
        changed = _differences(self._first["frames"], now["frames"])
        make_way(key for key, what in changed.items() if "position" in what)
        for key in changed:
            frame = self.frames[int(key)]
            frame.version += 1
            frame.save(update_fields=[*FRAME_FIGURES, "version"])
        for key in _differences(self._first["dipped"], now["dipped"]):
            self._save_dips(int(key))
        if self.fell_mm:
            lower_level(self.run.vat, self.fell_mm)
        # One by one where there is one: only then does every database give the key back.
        if len(self.steps) == 1:
            self.steps[0].save()
        else:
            Step.objects.bulk_create(self.steps)
        return self.steps

    def _save_dips(self, key: int) -> None:
        row = self.rows.setdefault(key, RunFrame(run=self.run, frame_id=key))
        row.dips = self.dipped[key]
        row.save()

    def _now(self) -> dict[str, dict]:
        return {
            "run": figures(self.run, RUN_FIGURES),
            "frames": {str(key): figures(frame, FRAME_FIGURES) for key, frame in self.frames.items()},
            "dipped": {str(key): dips for key, dips in self.dipped.items()},
        }


def make_way(frames) -> None:
    """Lift the frames off their positions for a moment: two that change places would meet on one otherwise."""
    keys = [int(key) for key in frames]
    if len(keys) > 1:
        Frame.objects.filter(pk__in=keys, position__isnull=False).update(position=F("position") + FAR)


def figures(row, names) -> dict:
    """The row's figures as JSON can keep them, to the last microsecond."""
    return {name: plain(getattr(row, name)) for name in names}


def plain(value):
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat()
    return f"{value.normalize():f}" if isinstance(value, Decimal) else value


def _differences(was: dict, now: dict) -> dict:
    """By name: [before, after] of what differs; of rows that are dicts themselves, the differing figures."""
    found = {}
    for name, value in now.items():
        if name in was and was[name] == value:
            continue
        found[name] = _differences(was.get(name) or {}, value) if isinstance(value, dict) else [was.get(name), value]
    return found
