"""The level of a vat as wax leaves it on candles, turn by turn. What is read or topped up: production.domain.vats."""

from decimal import Decimal

from production.models import Vat
from production.queries.wax import bath_of
from production.wax_use import level_drop_mm

HUNDREDTH = Decimal("0.01")


def draw_wax(vat: Vat, grams: float) -> None:
    """Wax goes out on candles, or comes back where `grams` is below nought (a turn undone). Needs a transaction.

    The level is reckoned, in hundredths of a mm below the rim, never above the rim nor below the floor of the vat.
    """
    row = Vat.objects.select_for_update(of=("self",)).select_related("wax").get(pk=vat.pk)
    fall = Decimal(level_drop_mm(grams, bath_of(row))).quantize(HUNDREDTH)
    row.level_mm = min(Decimal(row.depth_mm), max(Decimal(0), row.level_mm + fall))
    row.save(update_fields=["level_mm"])
    vat.level_mm = row.level_mm
