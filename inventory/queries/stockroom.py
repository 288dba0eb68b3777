"""What lies in the stockroom. Reads only; what changes it is in inventory/domain/lots.py."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import Count, Exists, F, Min, OuterRef, Q, QuerySet, Sum, Window
from django.db.models.functions import Coalesce

from inventory.models import FIRSTS, SECONDS, Candle, Lot, Movement

FREE = F("lots__on_hand") - F("lots__set_aside")
OF_FIRSTS, OF_SECONDS = Q(lots__grade=FIRSTS), Q(lots__grade=SECONDS)


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
    firsts, seconds, lying = Q(grade=FIRSTS), Q(grade=SECONDS), Q(on_hand__gt=0)
    figures = Lot.objects.aggregate(
        firsts=Coalesce(Sum("on_hand", filter=firsts), 0),
        free=Coalesce(Sum(F("on_hand") - F("set_aside"), filter=firsts), 0),
        shelves=Count("shelf", distinct=True, filter=firsts & lying),
        seconds=Coalesce(Sum("on_hand", filter=seconds), 0),
        seconds_lots=Count("pk", filter=seconds & lying),
        oldest=Min("made_on", filter=firsts & lying),
    )
    held = Lot.objects.filter(candle=OuterRef("pk"), grade=FIRSTS, on_hand__gt=0)
    return Stock(**figures, bare=Candle.objects.filter(~Exists(held), active=True).count())


def stock_by_candle(every: bool = False) -> QuerySet[Candle]:
    """Candles with their pairs: firsts, aside, free (all of firsts), seconds, and oldest, a day. One query.

    Candles no longer in the catalogue are there as long as pairs of them are; with `every` all of them are.
    """
    candles = (
        Candle.objects.select_related("wax", "colour", "shelf")
        .annotate(
            firsts=Coalesce(Sum("lots__on_hand", filter=OF_FIRSTS), 0),
            aside=Coalesce(Sum("lots__set_aside", filter=OF_FIRSTS), 0),
            free=Coalesce(Sum(FREE, filter=OF_FIRSTS), 0),
            seconds=Coalesce(Sum("lots__on_hand", filter=OF_SECONDS), 0),
            oldest=Min("lots__made_on", filter=OF_FIRSTS & Q(lots__on_hand__gt=0)),
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
    rows = Lot.objects.filter(candle__in=free, grade=grade).order_by().values_list("candle")
    free.update(rows.annotate(free=Sum(F("on_hand") - F("set_aside"))))
    return free


def free_lots(candle_ids: Iterable[int], grade: str) -> dict[int, list[Lot]]:
    """The lots of each candle in that grade with free pairs, oldest first; an empty list where none. One query."""
    lots: dict[int, list[Lot]] = {candle_id: [] for candle_id in candle_ids}
    for lot in Lot.objects.filter(candle__in=lots, grade=grade, on_hand__gt=F("set_aside")).order_by("made_on", "pk"):
        lots[lot.candle_id].append(lot)
    return lots
