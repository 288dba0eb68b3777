"""Pins as the plan has them: places of vats, half-days, baths and candles in it. Pins outside it wait."""

from collections.abc import Mapping

from production.dip_plan.problem import FramePin, VatPin
from production.domain.dip_plan.candles import BathKey, Dippable
from production.domain.dip_plan.days import WorkClock
from production.domain.dip_plan.floor import Over
from production.models import PlanPin


def pins_within(
    clock: WorkClock, vats: list[Over], candles: Mapping[int, Dippable]
) -> tuple[list[PlanPin], list[str]]:
    """Pins of half-days, vats and candles that are in the plan, and what is said of one that no longer may be."""
    if not clock.names:
        return [], []
    may = {over.vat.pk: over.may_hold for over in vats}
    rows = PlanPin.objects.filter(day__gte=clock.names[0][0], day__lte=clock.names[-1][0], vat__in=may)
    found, said, names = [], [], set(clock.names)
    for row in rows.select_related("vat", "wax"):
        if (row.day, row.half) not in names or (row.candle_id and row.candle_id not in candles):
            continue
        if row.wax_id and may[row.vat_id] and row.wax_id not in may[row.vat_id]:
            said.append(f"A pin is left out: {row.vat} may not hold {row.wax} any more.")
            continue
        found.append(row)
    return found, said


def pinned_baths(pins: list[PlanPin]) -> set[BathKey]:
    return {(pin.wax_id, pin.colour_id) for pin in pins if pin.colour_id}


def vat_pins(pins, clock: WorkClock, vats: list[Over], places) -> tuple[VatPin, ...]:
    vat_at, half_at = _at(vats, clock)
    return tuple(
        VatPin(vat_at[pin.vat_id], half_at[pin.day, pin.half], places[pin.wax_id, pin.colour_id])
        for pin in pins
        if pin.colour_id
    )


def frame_pins(pins, clock: WorkClock, vats: list[Over], items) -> tuple[FramePin, ...]:
    vat_at, half_at = _at(vats, clock)
    return tuple(
        FramePin(items[pin.candle_id], vat_at[pin.vat_id], half_at[pin.day, pin.half], (pin.position or 0) - 1)
        for pin in pins
        if pin.candle_id
    )


def _at(vats: list[Over], clock: WorkClock) -> tuple[dict, dict]:
    return {over.vat.pk: n for n, over in enumerate(vats)}, {name: n for n, name in enumerate(clock.names)}
