"""What lies in the stockroom. Reads only; what changes it is in inventory/domain/lots.py."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import Aggregate, Count, Exists, F, Min, OuterRef, Q, QuerySet, Subquery, Sum, Window
from django.db.models.functions import Coalesce

from inventory.models import FIRSTS, SECONDS, Candle, Lot, Movement

FREE = F("on_hand") - F("set_aside")
# After ten years nearly every lot is empty: what asks only for those that hold pairs has an index of them alone.
HELD = Lot.objects.filter(on_hand__gt=0).order_by()


@dataclass(frozen=True)
class Stock:
    """What the whole stockroom holds, in pairs and lots."""

    firsts: int
    free: int
    shelves: int  # that firsts lie on
    seconds: int
    seconds_lots: int
    oldest: date | None  # day of dipping of the oldest firsts
    bare: int  # candles of the catalogue without any firsts


def whole_stock() -> Stock:
    """The stockroom's figures for a sentence. Two queries."""
    firsts, seconds = Q(grade=FIRSTS), Q(grade=SECONDS)
    figures = HELD.aggregate(
        firsts=Coalesce(Sum("on_hand", filter=firsts), 0),
        free=Coalesce(Sum(FREE, filter=firsts), 0),
        shelves=Count("shelf", distinct=True, filter=firsts),
        seconds=Coalesce(Sum("on_hand", filter=seconds), 0),
        seconds_lots=Count("pk", filter=seconds),
        oldest=Min("made_on", filter=firsts),
    )
    held = HELD.filter(candle=OuterRef("pk"), grade=FIRSTS)
    return Stock(**figures, bare=Candle.objects.filter(~Exists(held), active=True).count())


def _of_candle(figure: Aggregate, grade: str) -> Subquery:
    """The figure over the lots of that grade that the outer candle has, null where it has none."""
    lots = HELD.filter(candle=OuterRef("pk"), grade=grade)
    return Subquery(lots.values("candle").annotate(figure=figure).values("figure"))


def stock_by_candle(every: bool = False) -> QuerySet[Candle]:
    """Candles with their pairs: firsts, aside, free (all of firsts), seconds, and oldest, a day. One query.

    Candles no longer in the catalogue are there as long as pairs of them are; with `every` all of them are.
    """
    candles = (
        Candle.objects.select_related("wax", "colour", "shelf")
        .annotate(
            firsts=Coalesce(_of_candle(Sum("on_hand"), FIRSTS), 0),
            aside=Coalesce(_of_candle(Sum("set_aside"), FIRSTS), 0),
            free=Coalesce(_of_candle(Sum(FREE), FIRSTS), 0),
            seconds=Coalesce(_of_candle(Sum("on_hand"), SECONDS), 0),
            oldest=_of_candle(Min("made_on"), FIRSTS),
        )
        .order_by("code")
    )
    return candles if every else candles.filter(Q(active=True) | Q(firsts__gt=0) | Q(seconds__gt=0))


def all_lots() -> QuerySet[Lot]:
    """Every lot, oldest first, with what a row shows of it."""
    return (
        Lot.objects.select_related("candle__colour", "candle__wax", "shelf")
        .annotate(free_now=F("on_hand") - F("set_aside"))
        .order_by("made_on", "pk")
    )


def history_of(lot: Lot) -> QuerySet[Movement]:
    """The lot's movements, each with `stood`: the pairs on hand after it. The last one's is the lot's own figure."""
    running = Window(Sum("pairs"), order_by=[F("at").asc(), F("pk").asc()])
    return lot.movements.select_related("person").annotate(stood=running).order_by("at", "pk")


def free_by_candle(candle_ids: Iterable[int], grade: str) -> dict[int, int]:
    """Pairs of each candle in that grade that nobody has been promised; 0 where there are none. One query."""
    free = dict.fromkeys(candle_ids, 0)
    rows = HELD.filter(candle__in=free, grade=grade).values_list("candle")
    free.update(rows.annotate(free=Sum(FREE)))
    return free


def free_lots(candle_ids: Iterable[int], grade: str) -> dict[int, list[Lot]]:
    """The lots of each candle in that grade with free pairs, oldest first; an empty list where none. One query."""
    lots: dict[int, list[Lot]] = {candle_id: [] for candle_id in candle_ids}
    for lot in HELD.filter(candle__in=lots, grade=grade, on_hand__gt=F("set_aside")).order_by("made_on", "pk"):
        lots[lot.candle_id].append(lot)
    return lots
