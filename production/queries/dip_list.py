"""The dip list: wants added up by candle, as pages read it."""

from collections import defaultdict
from collections.abc import Iterable

from django.db.models import Count, Min, QuerySet, Sum

from inventory.models import FIRSTS, Candle
from inventory.queries.stockroom import free_by_candle
from production.models import Want


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
