"""Pairs on a frame. No Django here: lengths in mm, whole pairs.

The rule (TRADE D11): wicks hang about three finished diameters apart, and never closer than two, where candles would
kiss when the frame swings (F8). Sources disagree: three in a craft text, two in an encyclopaedia.
"""

from dataclasses import dataclass
from decimal import ROUND_FLOOR, Decimal

USUAL_PITCH, LEAST_PITCH = Decimal(3), Decimal(2)  # in finished diameters


@dataclass(frozen=True)
class Loading:
    """How many pairs a frame takes of one candle, and why."""

    pairs: int
    per_bar: int
    pitch_mm: Decimal
    words: str


def pairs_on_frame(bars: int, usable_mm: Decimal, base_mm: Decimal, pitch: Decimal = USUAL_PITCH) -> Loading:
    """Bars times whole pitches: each pair takes `pitch` finished base diameters of a bar's usable length.

    A candle too thick for one pitch gives 0 pairs. ValueError where a figure is not above nought, or the pitch is
    below two diameters.
    """
    usable, base, pitch = Decimal(usable_mm), Decimal(base_mm), Decimal(pitch)
    if bars < 1 or not all(each.is_finite() and each > 0 for each in (usable, base, pitch)):
        raise ValueError(f"no frame: {bars} bars of {usable} mm, candles of {base} mm")
    if pitch < LEAST_PITCH:
        raise ValueError(f"a pitch of {pitch} diameters is too small: candles closer than {LEAST_PITCH} kiss")
    pitch_mm = pitch * base
    per_bar = int((usable / pitch_mm).to_integral_value(ROUND_FLOOR))
    bars_in_words = f"{bars} bar{'' if bars == 1 else 's'} of {_plain(usable)} mm"
    words = f"{bars_in_words}, a pair every {_plain(pitch_mm)} mm ({_plain(pitch)} finished diameters)."
    return Loading(bars * per_bar, per_bar, pitch_mm, words)


def _plain(figure: Decimal) -> str:
    return f"{figure.normalize():f}"
