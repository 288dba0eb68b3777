"""The level of a vat as wax leaves it on candles, turn by turn. What is read or topped up: production.domain.vats."""

from decimal import Decimal

from production.models import Vat
from production.queries.wax import bath_of
from production.wax_use import level_drop_mm

HUNDREDTH = Decimal("0.01")


def fall_mm(vat: Vat, grams: float) -> Decimal:
    """How far so much wax taken out brings the level down: whole hundredths of a mm, so that undoing adds up."""
    return Decimal(level_drop_mm(grams, bath_of(vat))).quantize(HUNDREDTH)


def lower_level(vat: Vat, mm: Decimal) -> None:
    """Wax goes out on candles, or was never taken where `mm` is below nought (a turn undone). Needs a transaction.

    Reckoned below the rim; never above it. A level below the vat's floor says that nobody has written down a top-up.
    """
    row = Vat.objects.select_for_update().get(pk=vat.pk)
    row.level_mm = max(Decimal(0), row.level_mm + mm)
    row.save(update_fields=["level_mm"])
    vat.level_mm = row.level_mm
