"""Re-derives what must always be true of the floor: one line a breach, naming the row. Nothing is mended.

A constant number of queries; rows that break a rule are found by the database where it can.
"""

from collections import defaultdict
from collections.abc import Iterator

from django.apps import apps
from django.db.models import F, IntegerField, OuterRef, Q, Subquery, Sum, Value
from django.db.models.functions import Coalesce

from inventory.audit import missing_constraints, missing_guards
from inventory.models import FIRSTS, SECONDS, Movement
from production.models import Frame, FrameUse, GradedFault, Grading, PlannedFrame, Remelt, WickEnds
from production.models.frame import GRADED, SCRAPPED
from production.queries.on_floor import LIVING

GUARDED = (
    "production_gaugereading",
    "production_vatreading",
    "production_wickends",
    "production_floorcheck",
    "production_frameuse",
    "production_remelt",
)


def breaches() -> Iterator[str]:
    """Every breach found, as a sentence that names the row."""
    yield from _every_pair()
    yield from _graded_frames()
    yield from _expected()
    yield from _lots()
    yield from _movements()
    yield from _wick_ends()
    yield from _remelts()
    yield from _plans()
    yield from _uses()
    yield from missing_guards(GUARDED)
    yield from missing_constraints(apps.get_app_config("production").get_models())


def _every_pair():
    """hung = firsts + seconds + remelt, and the seconds are those of the faults."""
    counted = F("firsts") + F("seconds") + F("remelt")
    for row in Grading.objects.exclude(frame__hung=counted).select_related("frame").order_by("pk").iterator():
        counted_off = row.firsts + row.seconds + row.remelt
        yield f"frame {row.frame}: {row.frame.hung} pairs were hung, {counted_off} were counted off"
    faults = GradedFault.objects.filter(grading=OuterRef("pk")).order_by().values("grading").annotate(sum=Sum("pairs"))
    by_fault = Coalesce(Subquery(faults.values("sum"), output_field=IntegerField()), Value(0))
    rows = Grading.objects.annotate(by_fault=by_fault).exclude(seconds=F("by_fault")).select_related("frame")
    for row in rows.order_by("pk").iterator():
        yield f"frame {row.frame}: {row.seconds} seconds were counted, its faults add up to {row.by_fault}"


def _graded_frames():
    """A frame is graded if it has a grading, and only then."""
    for frame in Frame.objects.filter(state=GRADED, grading=None).order_by("pk").iterator():
        yield f"frame {frame}: graded, but nobody knows what it gave: {frame.hung} pairs are not accounted for"
    for frame in Frame.objects.filter(grading__isnull=False).exclude(state=GRADED).order_by("pk").iterator():
        yield f"frame {frame}: has a grading, but is {frame.get_state_display()}"
    for frame in Frame.objects.filter(state__in=(GRADED, SCRAPPED), hung_for__gt=0).order_by("pk").iterator():
        yield f"frame {frame}: {frame.get_state_display()}, and still hung for {frame.hung_for} pairs"


def _expected():
    """Nothing hangs for more than the frame was counted on for."""
    living = Frame.objects.filter(state__in=LIVING, hung_for__gt=0)
    for frame in living.filter(expected=None).order_by("pk").iterator():
        yield f"frame {frame}: hung for {frame.hung_for} pairs, and nobody reckoned what it is expected to give"
    for frame in living.filter(hung_for__gt=F("expected")).order_by("pk").iterator():
        yield f"frame {frame}: hung for {frame.hung_for} pairs, but expected to give {frame.expected}"


def _lots():
    """A lot of a grading is of its frame's candle and of its own grade and fault."""
    gradings = Grading.objects.filter(lot__isnull=False).select_related("frame", "lot").order_by("pk")
    for row in gradings.exclude(lot__candle=F("frame__candle"), lot__grade=FIRSTS).iterator():
        yield f"frame {row.frame}: lot {row.lot} is not firsts of its candle"
    faults = GradedFault.objects.select_related("grading__frame", "lot").order_by("pk")
    right = Q(lot__candle=F("grading__frame__candle"), lot__grade=SECONDS, lot__fault=F("fault"))
    for row in faults.exclude(right).iterator():
        yield f"frame {row.grading.frame}: lot {row.lot} is not seconds of its candle with {row.fault!r}"


def _movements():
    """What the lots of a frame took in, by its movements, is what its grading says."""
    said: dict[tuple[str, str], int] = {}
    rows = Grading.objects.filter(lot__isnull=False).values_list("frame__code", "lot__code", "firsts")
    said.update({(frame, lot): pairs for frame, lot, pairs in rows.iterator()})
    rows = GradedFault.objects.values_list("grading__frame__code", "lot__code", "pairs")
    said.update({(frame, lot): pairs for frame, lot, pairs in rows.iterator()})
    moved: dict[tuple[str, str], int] = defaultdict(int)
    codes = Frame.objects.values("code")
    from_frames = Q(kind="made", reference__in=codes) | Q(kind="put right")
    rows = Movement.objects.filter(from_frames).values_list("reference", "lot__code", "pairs")
    for frame, lot, pairs in rows.iterator():
        moved[frame, lot] += pairs
    for frame, lot in sorted({*said, *moved}):
        if said.get((frame, lot), 0) != moved.get((frame, lot), 0):
            yield (
                f"lot {lot}: the grading of frame {frame or 'nobody knows which'} says {said.get((frame, lot), 0)} "
                f"pairs, its movements {moved.get((frame, lot), 0)}"
            )


def _wick_ends():
    there = WickEnds.objects.aggregate(grams=Sum("grams", default=0), bags=Sum("bags", default=0))
    for name, amount in there.items():
        if amount < 0:
            yield f"wick ends: more {name} went than ever came in ({amount})"


def _remelts():
    """A remelt weighed in is a lot of as much, of the remelt of its wax and colour."""
    right = Q(lot__amount=F("grams"), lot__material__remelt_of=F("wax"), lot__material__remelt_colour=F("colour"))
    for row in Remelt.objects.exclude(right).select_related("lot__material", "wax", "colour").order_by("pk"):
        yield (
            f"remelt {row.pk}: {row.grams} g of {row.wax}, {row.colour} were weighed in, lot {row.lot} is "
            f"{row.lot.amount} g of {row.lot.material}"
        )


def _plans():
    """A planned frame is meant for no more than it is counted on for, in order of time, and threaded as its candle."""
    meant = Coalesce(Sum("meant_for__pairs"), Value(0))
    rows = PlannedFrame.objects.select_related("plan", "candle", "frame__candle").order_by("pk")
    for row in rows.annotate(meant=meant).filter(meant__gt=F("counted")).iterator():
        yield f"plan {row.plan_id}, {row}: meant for {row.meant} pairs, and counted on for {row.counted}"
    for row in rows.filter(frame__isnull=False).exclude(frame__candle=F("candle")).iterator():
        yield f"plan {row.plan_id}, {row}: planned of {row.candle}, threaded as {row.frame} of {row.frame.candle}"
    in_order = Q(starts__lte=F("first_dip"), first_dip__lt=F("last_dip"), last_dip__lte=F("hard_at"))
    for row in rows.exclude(in_order).iterator():
        yield f"plan {row.plan_id}, {row}: hung, dipped and hard at times that are out of order"


def _uses():
    """What a frame drew of a lot is the movement it names: of that lot, of that material, drawn, as much."""
    rows = FrameUse.objects.filter(movement__isnull=False).select_related("frame", "lot", "movement").order_by("pk")
    right = Q(
        movement__lot=F("lot"), movement__kind="drawn", movement__amount=-F("amount"), lot__material=F("material")
    )
    for row in rows.exclude(right).iterator():
        yield (
            f"frame {row.frame}: drew {row.amount} of lot {row.lot}, and names a movement of {row.movement.amount:+d} "
            f"({row.movement.kind}) of lot {row.movement.lot_id}"
        )
