"""The trace between lots of candles, frames and lots of material. A handful of queries, whatever the size of the book.

Where frames are named, they are keys: ten years of them are read as plain numbers, and only what is shown is fetched
whole.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime, time

from django.db.models import Count, Max, Q, QuerySet, Sum
from django.utils import timezone

from inventory.models import SECONDS, Lot, MaterialLot, Movement
from inventory.models.material import DYE, WAX
from inventory.queries.among import among
from production.models import DipRun, Frame, FrameUse, GradedFault, Grading, Remelt, RunFrame, VatReading
from production.models.frame import HANGING, OFF, THREADED
from production.trace import UNKNOWN, Dip, Draw, Floor, Reached, Scrap, WeighIn, origins, reach


def lots_of_frames(frames: Iterable[int]) -> dict[int, int]:
    """Keys of the lots that came off these frames, those regraded later too; each with its frame."""
    keys = among(frames)
    graded = Grading.objects.filter(frame__in=keys, lot__isnull=False).order_by().values_list("lot", "frame")
    faulty = GradedFault.objects.filter(grading__frame__in=keys).order_by().values_list("lot", "grading__frame")
    found = dict([*graded, *faulty])
    came = regraded_from(found)
    found.update({lot: found[firsts] for lot, firsts in came.items()})
    return found


def regraded_from(lots: Iterable[int]) -> dict[int, int]:
    """Lots of seconds that were made of firsts of these lots after grading, each with the lot of firsts."""
    rows = Movement.objects.filter(lot__in=among(lots), kind="regraded", pairs__lt=0).order_by()
    codes = dict(rows.values_list("reference", "lot"))
    seconds = Lot.objects.filter(code__in=list(codes), grade=SECONDS).order_by() if codes else Lot.objects.none()
    return {lot: codes[code] for lot, code in seconds.values_list("pk", "code")}


def frames_of_lots(lots: Iterable[int]) -> dict[int, int]:
    """The frame of each of these lots, as far as it came off one: what was only counted in came off none."""
    lots = set(lots)
    keys = among(lots)
    graded = Grading.objects.filter(lot__in=keys).order_by().values_list("lot", "frame")
    faulty = GradedFault.objects.filter(lot__in=keys).order_by().values_list("lot", "grading__frame")
    found = dict([*graded, *faulty])
    if len(found) == len(lots):
        return found
    came = Movement.objects.filter(lot__in=among(lots - set(found)), pairs__gt=0).order_by("-at", "-pk")
    regraded = dict(came.filter(kind="regraded").values_list("lot", "reference"))
    of_code = dict(
        Grading.objects.filter(lot__code__in=regraded.values()).order_by().values_list("lot__code", "frame")
    )
    found.update({lot: of_code[code] for lot, code in regraded.items() if code in of_code})
    # All of it was put right since: the movement that made it still names the frame.
    made = dict(came.filter(kind="made").values_list("lot", "reference"))
    of_code = dict(Frame.objects.filter(code__in=made.values()).order_by().values_list("code", "pk"))
    found.update({lot: of_code[code] for lot, code in made.items() if code in of_code and lot not in found})
    return found


def holding(lot: MaterialLot) -> Reached:
    """Frames that drew this lot, and those that may hold traces: see production.trace. Fifteen queries at most.

    A frame that drew the same material when the book had no lot of it left may have had this one: UNKNOWN.
    """
    own = FrameUse.objects.filter(lot=lot).order_by().values_list("frame", "run__vat", "run__started_at")
    draws = [Draw(lot.pk, *row) for row in own]
    if lot.material.kind in (WAX, DYE):
        found = reach(lot.pk, _floor_since(draws))
    else:
        found = Reached(frozenset(draw.frame for draw in draws), {})
    came = timezone.make_aware(datetime.combine(lot.came_on, time.min))
    rows = FrameUse.objects.filter(material=lot.material_id, lot=None, at__gte=came).order_by()
    unknown = set(rows.values_list("frame", flat=True)) - found.held
    return Reached(found.held, {**dict.fromkeys(unknown, UNKNOWN), **found.traces})


def _floor_since(draws: list[Draw]) -> Floor:
    """All that happened since the first of these draws came into a vat."""
    began = [draw.began for draw in draws if draw.began]
    if not began:
        return Floor(draws=draws)
    since = min(began)
    runs = DipRun.objects.filter(Q(ended_at=None) | Q(ended_at__gt=since)).order_by()
    spans = {row[0]: row[1:] for row in runs.values_list("pk", "vat", "started_at", "ended_at")}
    hung = RunFrame.objects.filter(run__in=runs.values("pk"), dips__gt=0).order_by().values_list("frame", "run")
    changes = VatReading.objects.filter(kind="change-over", at__gt=since).order_by("at", "pk")
    by_vat = defaultdict(list)
    for vat, at in changes.values_list("vat", "at"):
        by_vat[vat].append(at)
    weigh_ins = list(_weigh_ins(Q(at__gte=since)))
    melted = FrameUse.objects.filter(lot__in=among(each.lot for each in weigh_ins)).order_by()
    if weigh_ins:
        draws += [Draw(*row) for row in melted.values_list("lot", "frame", "run__vat", "run__started_at")]
    return Floor(
        draws=draws,
        dips=[Dip(frame, *spans[run]) for frame, run in hung if run in spans],
        scraps=list(_scraps(since, max(each.at for each in weigh_ins))) if weigh_ins else [],
        weigh_ins=weigh_ins,
        changes=by_vat,
    )


def _weigh_ins(condition: Q) -> Iterator[WeighIn]:
    rows = Remelt.objects.filter(condition).order_by("at", "pk").values_list("lot", "wax", "colour", "at")
    return (WeighIn(lot, (wax, colour), at) for lot, wax, colour, at in rows)


def _scraps(since, until, baths: Iterable[tuple[int, int]] | None = None) -> Iterator[Scrap]:
    """What went into the tubs: remelt of gradings, and pairs of lots melted down later. Seven queries at most.

    Wick ends are kept by weight only and name no frame.
    """
    span = {"at__lte": until, **({"at__gte": since} if since else {})}
    graded = Grading.objects.filter(remelt__gt=0, **span).order_by()
    melted = Movement.objects.filter(kind="remelted", **span).order_by()
    if baths is not None:
        graded = graded.filter(_in_baths(baths, "frame__candle"))
        melted = melted.filter(_in_baths(baths, "lot__candle"))
    rows = [*graded.values_list("frame", "frame__candle__wax", "frame__candle__colour", "at")]
    later = list(melted.values_list("lot", "lot__candle__wax", "lot__candle__colour", "at"))
    frames = frames_of_lots(row[0] for row in later)
    rows += [(frames[lot], *rest) for lot, *rest in later if lot in frames]
    return (Scrap(frame, (wax, colour), at) for frame, wax, colour, at in rows)


def _in_baths(baths: Iterable[tuple[int, int]], candle: str) -> Q:
    found = Q(pk__in=[])
    for wax, colour in baths:
        found |= Q(**{f"{candle}__wax": wax, f"{candle}__colour": colour})
    return found


@dataclass(frozen=True)
class MadeOf:
    """Material in some frames: `amount` of a lot in the material's unit. `lot` is None where nobody knows which it
    was; `amount` is None for what is in it by way of remelt only."""

    material: str
    unit: str
    lot: MaterialLot | None
    amount: int | None


def made_of(frames: Iterable[int]) -> list[MadeOf]:
    """What these frames drew, and behind our own remelt every lot that may be in it. For a box or a run of frames."""
    uses = FrameUse.objects.filter(frame__in=among(frames)).order_by()
    sums = list(uses.values_list("material", "lot").annotate(amount=Sum("amount")))
    behind = _behind({lot for _, lot, _ in sums if lot})
    lots = MaterialLot.objects.select_related("material", "supplier").in_bulk({lot for _, lot, _ in sums} | behind)
    lost = {use.material_id: use.material for use in uses.filter(lot=None).select_related("material")}
    rows = [
        MadeOf(material.name, material.unit, lots.get(lot), amount)
        for key, lot, amount in sums
        for material in [lots[lot].material if lot else lost[key]]
    ]
    rows += [MadeOf(lots[key].material.name, lots[key].material.unit, lots[key], None) for key in behind]
    return sorted(rows, key=lambda row: (row.amount is None, row.material, row.lot.code if row.lot else ""))


def _behind(lots: set[int]) -> set[int]:
    """Lots in the remelt among `lots`, through every melting before. A few queries for each wax and colour in it."""
    own = list(_weigh_ins(Q(lot__in=lots)))
    if not own:
        return set()
    until = max(each.at for each in own)
    baths: set = set()
    wanted = {each.tub for each in own}
    draws: list[Draw] = []
    scraps: list[Scrap] = []
    weigh_ins: list[WeighIn] = []
    while wanted - baths:
        new, baths = wanted - baths, baths | wanted
        scraps += _scraps(None, until, new)
        rows = FrameUse.objects.filter(_in_baths(new, "frame__candle"), lot__isnull=False, at__lte=until).order_by()
        fresh = [Draw(lot, frame) for lot, frame in rows.exclude(material__kind="wick").values_list("lot", "frame")]
        draws += fresh
        weigh_ins = list(_weigh_ins(Q(at__lte=until)))
        drawn = {draw.lot for draw in fresh}
        wanted = baths | {each.tub for each in weigh_ins if each.lot in drawn}
    return origins([each.lot for each in own], Floor(draws=draws, scraps=scraps, weigh_ins=weigh_ins)) - lots


def frames_shown(frames: Iterable[int]) -> QuerySet[Frame]:
    """These frames whole, with how often they were gauged (`gauged`) and the last size (`last_mm`)."""
    counts = Q(readings__voids=None, readings__voided_by=None, readings__isnull=False)
    rows = Frame.objects.filter(pk__in=among(frames)).select_related(
        "candle__colour", "candle__wax", "threaded_by", "grading__person", "grading__lot"
    )
    return (
        rows.annotate(gauged=Count("readings", filter=counts), widest_mm=Max("readings__mm", filter=counts))
        .prefetch_related("runs__run__vat", "runs__run__started_by", "grading__faults__lot")
        .order_by("off_at", "pk")
    )


def on_the_floor(frames: Iterable[int]) -> list[Frame]:
    """Those of them that are not counted off yet."""
    rows = Frame.objects.filter(pk__in=among(frames), state__in=(THREADED, HANGING, OFF))
    return list(rows.select_related("candle", "carousel").order_by("pk"))
