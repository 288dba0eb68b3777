"""What lies in the stockroom. Reads only; what changes it is in inventory/domain/lots.py."""

from collections.abc import Iterable

from django.db.models import F, Sum

from inventory.models import Lot


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
