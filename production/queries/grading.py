"""Frames to be graded, the faults offered for them, and the way back from a lot to its frame."""

from django.db.models import Count, OuterRef, Q, QuerySet, Subquery, Sum
from django.utils import timezone

from inventory.faults import NAMES
from inventory.models import Lot, Movement
from production.models import DipRun, Frame, FrameUse, GaugeReading, GradedFault, Grading, RunFrame, Step
from production.models.frame import OFF

MOST_OWN = 12  # faults in the workshop's own words that the page offers, the most frequent


def frames_off() -> QuerySet[Frame]:
    """Frames taken off and not yet graded, the one that is hard first on top, each with its `run` (a code)."""
    last = RunFrame.objects.filter(frame=OuterRef("pk"), dips__gt=0).order_by("-run__started_at", "-run")
    rows = Frame.objects.filter(state=OFF).select_related("candle__colour", "candle__wax")
    return rows.annotate(run=Subquery(last.values("run__code")[:1])).order_by("hard_at", "pk")


def hard_frames() -> QuerySet[Frame]:
    """Those of them that are hard, and so ready to grade. For Today and the floor."""
    return frames_off().filter(Q(hard_at__isnull=True) | Q(hard_at__lte=timezone.now()))


def off_in_all() -> dict:
    """`frames`, `pairs` and `hung_for` of all frames off; `ready` and `ready_pairs` of the hard ones. One query."""
    hard = Q(hard_at__isnull=True) | Q(hard_at__lte=timezone.now())
    return Frame.objects.filter(state=OFF).aggregate(
        frames=Count("pk"),
        pairs=Sum("hung", default=0),
        hung_for=Sum("hung_for", default=0),
        ready=Count("pk", filter=hard),
        ready_pairs=Sum("hung", filter=hard, default=0),
    )


def faults_for(candle) -> list[str]:
    """Every fault to choose from: what this candle had most first, then the trade's list, then other own words."""
    counted = GradedFault.objects.order_by().values_list("fault")
    of_candle = counted.filter(grading__frame__candle=candle).annotate(n=Sum("pairs")).order_by("-n", "fault")
    known = dict.fromkeys([fault for fault, _ in of_candle[:MOST_OWN]])
    own = counted.exclude(fault__in=NAMES).annotate(n=Sum("pairs")).order_by("-n", "fault")
    return list(dict.fromkeys([*known, *NAMES, *(fault for fault, _ in own[:MOST_OWN])]))


def runs_of(frame: Frame) -> list[RunFrame]:
    """The runs that dipped the frame, in their order, with vat and carousel, and the wax and colour it held then."""
    rows = RunFrame.objects.filter(frame=frame).select_related("run__vat", "run__wax", "run__colour", "run__carousel")
    return list(rows.order_by("run__started_at", "run"))


def uses_of(frame: Frame) -> QuerySet[FrameUse]:
    """What the frame drew from stock, wick first, then wax and dye of each run."""
    return (
        FrameUse.objects.filter(frame=frame)
        .select_related("material", "lot", "run")
        .order_by("at", "-material__kind", "pk")
    )


def readings_of(frame: Frame) -> QuerySet[GaugeReading]:
    """Every reading of the frame that stands, in their order."""
    return GaugeReading.objects.standing().filter(frame=frame).select_related("person", "run").order_by("at", "pk")


def steps_of(frame: Frame) -> QuerySet[Step]:
    """What was done with the frame itself, the newest first; turns are counted, not told."""
    rows = Step.objects.filter(frame=frame).select_related("run__carousel", "run__vat", "person")
    return rows.order_by("-at", "-pk")


def grading_of(frame: Frame) -> Grading | None:
    rows = Grading.objects.filter(frame=frame).select_related("person", "lot", "frame__candle__colour")
    return rows.prefetch_related("faults__lot").first()


def frame_of_lot(lot: Lot) -> Frame | None:
    """The frame a lot came off: by its grading, or by the lot of firsts it was regraded from. None: counted in."""
    frames = Frame.objects.select_related("candle__colour", "candle__wax", "threaded_by", "kind")
    found = frames.filter(Q(grading__lot=lot) | Q(grading__faults__lot=lot)).first()
    if found:
        return found
    came = Movement.objects.filter(lot=lot, pairs__gt=0, kind__in=("made", "regraded")).order_by("at", "pk").first()
    if came is None or not came.reference:
        return None
    if came.kind == "made":
        # All of it was put right since: the movement still names the frame.
        return frames.filter(code=came.reference).first()
    firsts = Lot.objects.filter(code=came.reference).first()
    return frames.filter(grading__lot=firsts).first() if firsts else None


def latest_run(frame: Frame) -> DipRun | None:
    """The run that dipped it last: the outermost wax is the shade. None for a frame dipped off the book."""
    runs = DipRun.objects.filter(frames__frame=frame, frames__dips__gt=0)
    return runs.order_by("-started_at", "-pk").first()
