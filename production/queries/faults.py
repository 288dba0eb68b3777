"""Seconds of graded frames, by candle, vat, wax and, where the owner shows it, person."""

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass

from django.db.models import Count, OuterRef, QuerySet, Subquery, Sum

from production.models import FoundLater, GradedFault, Grading, RunFrame, VatReading
from production.queries.trace import frames_of_lots

MOST_POINTS = 300  # on one chart: a year of a small workshop, and as many as the eye can tell apart


def gradings() -> QuerySet[Grading]:
    """Every grading with the run that dipped its frame last: `run`, `run_code`, `vat`, `vat_name`, `dipper`; and the
    last `heat` (degrees C) read at that vat before the frame came off."""
    last = RunFrame.objects.filter(frame=OuterRef("frame"), dips__gt=0).order_by("-run__started_at", "-run")
    parts = {
        "run": "run",
        "run_code": "run__code",
        "vat": "run__vat",
        "vat_name": "run__vat__name",
        "dipper": "run__started_by",
    }
    found = {name: Subquery(last.values(path)[:1]) for name, path in parts.items()}
    heats = VatReading.objects.filter(vat=OuterRef("vat"), at__lte=OuterRef("frame__off_at"), celsius__isnull=False)
    heat = Subquery(heats.order_by("-at", "-pk").values("celsius")[:1])
    rows = Grading.objects.annotate(**found).annotate(heat=heat)
    return rows.select_related("frame__candle").order_by("frame__off_at", "pk")


def latest_gradings(rows: QuerySet[Grading]) -> list[Grading]:
    """The last MOST_POINTS of them, oldest first: by when the frame came off, not by when somebody counted it."""
    return list(rows.order_by("-frame__off_at", "-pk")[:MOST_POINTS])[::-1]


@dataclass(frozen=True)
class FaultShare:
    """`pairs` of seconds with one fault, on `frames` frames; in `later` pairs more it was found once they had left."""

    fault: str
    pairs: int
    frames: int
    later: int = 0


def faults_of(rows: Iterable[Grading]) -> list[FaultShare]:
    """Faults of these frames, the most frequent first: what grading found, and what came to light later. Seven
    queries at most."""
    rows = list(rows)
    found = GradedFault.objects.filter(grading__in=[row.pk for row in rows]).order_by()
    counted = found.values_list("fault").annotate(pairs=Sum("pairs"), frames=Count("grading"))
    graded = {fault: (pairs, frames) for fault, pairs, frames in counted}
    later = _found_later({row.frame_id for row in rows})
    shares = [FaultShare(fault, *graded.get(fault, (0, 0)), later[fault]) for fault in {*graded, *later}]
    return sorted(shares, key=lambda share: (-share.pairs, -share.later, share.fault))


def _found_later(frames: Collection[int]) -> Counter[str]:
    told = list(FoundLater.objects.filter(counts=True).order_by().values_list("lot", "fault", "pairs"))
    frame_of = frames_of_lots(lot for lot, _, _ in told) if told else {}
    found: Counter[str] = Counter()
    for lot, fault, pairs in told:
        if frame_of.get(lot) in frames:
            found[fault] += pairs
    return found


def faults_by_grading(keys: Iterable[int]) -> dict[int, list[GradedFault]]:
    """The faults of each of these gradings. One query."""
    found: dict[int, list[GradedFault]] = defaultdict(list)
    for row in GradedFault.objects.filter(grading__in=list(keys)).order_by("-pairs", "fault"):
        found[row.grading_id].append(row)
    return found
