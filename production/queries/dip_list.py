"""The dip list: wants added up by candle, as pages read it."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Count, Max, Min, QuerySet, Sum

from inventory.models import FIRSTS, Candle
from inventory.queries.stockroom import free_by_candle
from production.chances import Hanging, frames_to_hang
from production.models import Frame, FrameKind, Want
from production.pitch import pairs_on_frame
from production.queries.figures import confidence
from production.queries.firsts import firsts_rates
from production.queries.on_floor import on_floor_by_candle
from production.queries.spare import spare_by_candle


def wanted_candles() -> QuerySet[Candle]:
    """Candles somebody waits for, each with `wanted` pairs, the `earliest` day and the number of `wants`."""
    rows = Candle.objects.filter(wants__isnull=False).select_related("colour", "wax")
    return rows.annotate(wanted=Sum("wants__pairs"), earliest=Min("wants__wanted_by"), waiting=Count("wants"))


def wants_of(candles: Iterable[int]) -> dict[int, list[Want]]:
    """The wants of each candle, the earliest day and the best rank first. One query."""
    found: dict[int, list[Want]] = defaultdict(list)
    for want in Want.objects.filter(candle__in=list(candles)).order_by("wanted_by", "rank", "pk"):
        found[want.candle_id].append(want)
    return found


def free_firsts(candles: Iterable[int]) -> dict[int, int]:
    """Free pairs of firsts of each candle: they could be set aside before anything is dipped. One query."""
    return free_by_candle(list(candles), FIRSTS)


def whole_list() -> dict:
    """`pairs`, `candles` and the `first` day of the whole dip list. One query."""
    return Want.objects.aggregate(
        pairs=Sum("pairs", default=0), candles=Count("candle", distinct=True), first=Min("wanted_by")
    )


@dataclass(frozen=True)
class ToHang:
    """What one candle still needs, in pairs of firsts. `hung` hang for its wants, `spare` for the shelf.

    `free` lie in stock and are nobody's; `need` is left to hang, `per_frame` the pairs that a frame of `kind` takes.
    `frames` is None without a kind of frame that takes the candle.
    """

    wanted: int
    hung: int
    spare: int
    free: int
    need: int
    kind: FrameKind | None
    per_frame: int
    frames: Hanging | None

    @property
    def reason(self) -> str:
        """ "3 frames: 2 would do only 71 times in 100." """
        if not self.need:
            return ""
        if self.frames is None:
            return "No kind of frame in use takes this candle: set one up."
        return self.frames.words


def to_hang(candles: Iterable[Candle]) -> dict[int, ToHang]:
    """By key, for candles with `wanted`. Nine queries, however many candles."""
    candles = {candle.pk: candle for candle in candles}
    hung, free, spare = on_floor_by_candle(candles), free_firsts(candles), spare_by_candle(candles)
    rates, sure, kinds = firsts_rates(candles), confidence(), list(FrameKind.objects.filter(active=True))
    last, found = last_kinds(candles), {}
    for pk, candle in candles.items():
        has = hung.get(pk, 0), sum(pairs for _, pairs in spare[pk]), max(0, free[pk])
        need = max(0, candle.wanted - sum(has))
        kind, per_frame = usual_load(kinds, candle, last.get(pk))
        rate = rates[pk]
        frames = frames_to_hang(need, per_frame, rate.good, rate.of, sure) if per_frame else None
        found[pk] = ToHang(candle.wanted, *has, need, kind, per_frame, frames)
    return found


def usual_load(kinds: Iterable[FrameKind], candle: Candle, last: int | None) -> tuple[FrameKind | None, int]:
    """(kind, pairs) of the kind of frame that the candle hung on `last`, else of the one that takes most pairs of it;
    (None, 0) where none takes any.
    """
    best, most = None, 0
    for kind in kinds:
        pairs = pairs_on_frame(kind.bars, kind.usable_mm, candle.base_mm, kind.pitch).pairs
        if pairs and kind.pk == last:
            return kind, pairs
        if pairs > most:
            best, most = kind, pairs
    return best, most


def last_kinds(candles: Iterable[int]) -> dict[int, int]:
    """The kind of frame each candle hung on last. One query."""
    latest = Frame.objects.filter(candle__in=list(candles)).order_by().values("candle").annotate(last=Max("pk"))
    rows = Frame.objects.filter(pk__in=latest.values("last"))
    return dict(rows.order_by().values_list("candle", "kind"))


def whole_need() -> dict[str, int]:
    """Over the whole dip list: pairs that hang for wants, those of its candles that hang for the shelf, pairs still to
    hang, and the frames that means.
    """
    rows = to_hang(wanted_candles()).values()
    return {
        "hung": sum(row.hung for row in rows),
        "spare": sum(min(row.spare, row.wanted - row.hung) for row in rows),
        "need": sum(row.need for row in rows),
        "frames": sum(row.frames.frames or 0 for row in rows if row.need and row.frames),
    }


def own_wants() -> QuerySet[Want]:
    """What the workshop makes ahead for the shelf, the earliest day first."""
    return Want.objects.filter(group="").select_related("candle__colour", "candle__wax").order_by("wanted_by", "pk")
