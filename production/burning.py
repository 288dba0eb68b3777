"""How long a candle burns: an estimate, always with what it rests on. No Django here: g, g an hour, hours, minutes.

6 g an hour is a published figure for a paraffin taper (TRADE B1: an encyclopaedia citing a paper on candle flames);
the figures by diameter are from memory (TRADE B3). Weighed test burns go before both (TRADE B6).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_DOWN, Decimal

from inventory.words import counted, measure

PUBLISHED_G_HOUR = Decimal(6)
# Base diameter up to (mm): g an hour, from memory.
BY_DIAMETER = ((8, (2, 3)), (16, (4, 5)), (26, (6, 8)), (40, (6, 10)))


@dataclass(frozen=True)
class BurnRate:
    """g an hour; what it rests on, in full and as short as a label bears; and whether it was measured or set."""

    g_hour: Decimal
    basis: str
    on_label: str
    own: bool


def burn_rate(set_by_hand: Decimal | None, measured: Sequence[Decimal] = ()) -> BurnRate:
    """The rate to reckon with (g an hour): as set by hand, else the mean of samples measured, else the published."""
    if set_by_hand:
        said = f"{measure(set_by_hand)} g an hour"
        return BurnRate(set_by_hand, f"{said}, as it is set for this candle", f"{said}, our own figure", True)
    if measured:
        mean = (sum(measured) / len(measured)).quantize(Decimal("0.01"))
        samples = counted(len(measured), "sample")
        said = f"{measure(mean)} g an hour"
        return BurnRate(mean, f"{said}, the mean of {samples} burnt here", f"{said}, mean of {samples}", True)
    said = f"{measure(PUBLISHED_G_HOUR)} g an hour"
    basis = f"{said}, a published figure for paraffin tapers: nobody has measured this candle"
    return BurnRate(PUBLISHED_G_HOUR, basis, f"{said}, not measured", False)


def burn_hours(mass_g: Decimal, g_hour: Decimal) -> Decimal:
    """Hours one candle of that mass burns at that rate. ValueError where either is not above nought."""
    if mass_g <= 0 or g_hour <= 0:
        raise ValueError(f"nothing burns: {mass_g} g at {g_hour} g an hour")
    return Decimal(mass_g) / Decimal(g_hour)


def measured_rate(before_g: Decimal, after_g: Decimal, minutes: int) -> Decimal:
    """g an hour out of two weighings and the minutes burnt between them (TRADE B6), to 0.01."""
    if minutes <= 0 or after_g > before_g:
        raise ValueError(f"not a burn: {before_g} g to {after_g} g in {minutes} min")
    return (60 * (before_g - after_g) / minutes).quantize(Decimal("0.01"))


def hours_in_words(hours: Decimal) -> str:
    """ "10½ hours": rounded down, to half hours, from 20 hours on to hours, below two to five minutes."""
    if hours < 2:
        minutes = max(5, int(hours * 60) // 5 * 5)
        return f"{minutes} minutes"
    if hours >= 20:
        return f"{int(hours)} hours"
    halves = int((hours * 2).to_integral_value(rounding=ROUND_DOWN))
    return f"{halves // 2}{'½' if halves % 2 else ''} hours"


def rate_doubt(base_mm: Decimal, rate: BurnRate) -> str:
    """A sentence where the rate lies outside what is common for candles as thick; empty where it does not."""
    common = next((rates for thickest, rates in BY_DIAMETER if base_mm <= thickest), None)
    if common is None:
        return (
            f"Candles {measure(base_mm)} mm thick burn very differently with wick and wax: burn three and weigh them."
        )
    low, high = common
    if low <= rate.g_hour <= high:
        return ""
    return (
        f"Candles {measure(base_mm)} mm thick commonly burn {low} to {high} g an hour (from memory), not "
        f"{measure(rate.g_hour)}: burn three and weigh them."
    )
