"""What nobody bought in time goes back as wax: it leaves the stock as "remelted", and its wax's tub reckons from that.

Locks: lots, by key.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from uuid import UUID, uuid5

from django.core.exceptions import ValidationError
from django.db import transaction

from inventory.domain.lots import adjust_lot, lock_lots
from inventory.models import SECONDS, Candle
from orders.domain.seconds_pricing import reckoned_g


@dataclass(frozen=True)
class Remelted:
    """Pairs that went, and what they weigh in g by size and wax."""

    pairs: int
    grams: Decimal


@transaction.atomic
def remelt_seconds(*, lots: Mapping[int, int], reason: str, submission: UUID, by) -> Remelted:
    """So many free pairs of each lot of seconds (by key) go to the remelt. The same submission again moves nothing.

    ValidationError: at `lots` for none or a lot of firsts, under a lot's code where fewer are free, at `reason`.
    """
    rows = lock_lots(lots)
    if not lots or len(rows) < len(lots) or any(lot.grade != SECONDS for lot in rows.values()):
        raise ValidationError({"lots": "Choose at least one lot of seconds."})
    candles = Candle.objects.select_related("wax").in_bulk({lot.candle_id for lot in rows.values()})
    faults, gone = {}, []
    for key in sorted(lots):
        lot, pairs = rows[key], lots[key]
        try:
            moved = adjust_lot(
                lot=lot, kind="remelted", pairs=pairs, reason=reason, by=by, submission=uuid5(submission, str(key))
            )
        except ValidationError as error:
            if "reason" in error.message_dict:
                raise
            faults[lot.code] = f"Only {lot.free} are free." if pairs > lot.free else " ".join(error.messages)
        else:
            gone.append((candles[lot.candle_id], -moved.pairs))
    if faults:
        raise ValidationError(faults)
    return Remelted(sum(pairs for _, pairs in gone), reckoned_g(gone))
