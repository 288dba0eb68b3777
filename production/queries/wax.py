"""Vats and hung frames as the sums about wax want them."""

from collections.abc import Iterable

from production.models import Vat
from production.queries.growing import Growing
from production.wax_use import Bath, Hung


def bath_of(vat: Vat) -> Bath:
    return Bath(
        float(vat.depth_mm),
        float(vat.length_mm * vat.width_mm),
        float(vat.level_mm),
        float(vat.keep_mm),
        float(vat.wax.density_liquid),
    )


def hung_of(growing: Iterable[Growing]) -> list[Hung]:
    """What each frame takes out of the vat a dip, by its present diameter and growth."""
    return [
        Hung(
            candles=2 * each.frame.hung,
            length_mm=float(each.frame.candle.length_mm),
            base_mm=each.mm,
            growth_mm=max(0.0, each.line.growth),
            density=float(each.stage.wax.density_solid),
        )
        for each in growing
    ]
