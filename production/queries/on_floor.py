"""What hangs for whom: pairs of firsts promised by frames that are not graded yet."""

from collections import defaultdict
from collections.abc import Iterable

from django.db.models import F, QuerySet, Sum

from production.models import Frame, HungFor
from production.models.frame import HANGING, OFF, THREADED

LIVING = (THREADED, HANGING, OFF)


def living_promises() -> QuerySet[HungFor]:
    """Promises of frames that are threaded, hanging or hardening. Graded and scrapped ones promise nothing."""
    return HungFor.objects.filter(frame__state__in=LIVING).order_by()


def living_frames() -> QuerySet[Frame]:
    return Frame.objects.filter(state__in=LIVING).order_by()


def on_floor_by_want(wants: Iterable[int] | QuerySet) -> dict[int, int]:
    """Pairs that hang for each want, by its key; wants for which nothing hangs are left out. One query."""
    rows = living_promises().filter(want__in=wants if isinstance(wants, QuerySet) else list(wants))
    return dict(rows.values_list("want").annotate(pairs=Sum("pairs")))


def promises_by_want(wants: Iterable[int]) -> dict[int, list[HungFor]]:
    """The promises of each want with their frames, the frame that is furthest first. One query, none for no wants."""
    found: dict[int, list[HungFor]] = defaultdict(list)
    if not (keys := list(wants)):
        return found
    rows = living_promises().filter(want__in=keys).select_related("frame")
    for promise in rows.order_by(F("frame__off_at").asc(nulls_last=True), "-frame__dips", "frame_id"):
        found[promise.want_id].append(promise)
    return found


def on_floor_by_candle(candles: Iterable[int]) -> dict[int, int]:
    """Pairs that hang for a want of each candle. One query."""
    rows = living_promises().filter(want__candle__in=list(candles)).values_list("want__candle")
    return dict(rows.annotate(pairs=Sum("pairs")))
