"""Weight of a loaded frame against the manual-handling filter. No Django here: kg, lifts a minute.

The figures are a filter for a first look, no legal limit: below them a lift needs no closer look as a rule, above them
it does. They were read on training pages that reproduce the authority's older leaflet (TRADE S-16 to S-18: partly from
memory, with a conflict about the heights), so they caution and never refuse.
"""

from dataclasses import dataclass

# Height of the hands: (men close to the body, men at arm's length, women close, women at arm's length), kg.
HEIGHTS = {
    "shoulder to head": (10, 5, 7, 3),
    "elbow to shoulder": (20, 10, 13, 7),
    "knuckle to elbow": (25, 15, 16, 10),
    "lower leg to knuckle": (20, 10, 13, 7),
    "floor to lower leg": (10, 5, 7, 3),
}
HANGING = "elbow to shoulder"  # where a frame is hung on its carousel


@dataclass(frozen=True)
class LiftingFilter:
    """What the filter lets pass, in kg, held close or at arm's length."""

    men_close: float
    men_far: float
    women_close: float
    women_far: float


def share_left(lifts_a_minute: float) -> float:
    """What is left of the filter's figure at that many lifts a minute: 1 up to 30 an hour, down to 0.2.

    The leaflet names 1 to 2, 5 to 8 and more than 12 a minute; between those the stricter holds. ValueError for fewer
    lifts than none.
    """
    if not lifts_a_minute >= 0:
        raise ValueError(f"lifts a minute are none or more, not {lifts_a_minute}")
    for most, share in ((0.5, 1.0), (2, 0.7), (8, 0.5)):
        if lifts_a_minute <= most:
            return share
    return 0.2


def lifting_filter(heights: tuple[str, ...] = (HANGING,), lifts_a_minute: float = 0) -> LiftingFilter:
    """The filter for hands that pass through those heights: the smallest figure of each. ValueError without a height.

    KeyError for an unknown height.
    """
    if not heights:
        raise ValueError("a lift passes at least one height")
    left = share_left(lifts_a_minute)
    rows = [HEIGHTS[height] for height in heights]
    return LiftingFilter(*(left * min(figures) for figures in zip(*rows, strict=True)))


def frame_kg(iron_g: float, candles: int, candle_g: float) -> float:
    """Weight of a frame with its candles, which may be finished or not, in kg."""
    return (float(iron_g) + candles * float(candle_g)) / 1000


def caution_lifting(kilograms: float, lifts_a_minute: float = 0, height: str = HANGING) -> str:
    """A sentence where a frame of that weight is past the filter for anybody; empty where it passes for all."""
    limits = lifting_filter((height,), lifts_a_minute)
    weight = f"{kilograms:.1f} kg"
    if kilograms <= limits.women_far:
        return ""
    if kilograms > limits.men_close:
        verdict = f"past the lifting filter ({limits.men_close:g} kg held close): lift it by two, or hang fewer pairs"
    elif kilograms > limits.women_close:
        verdict = f"past the lifting filter for many ({limits.women_close:g} kg held close): lift it by two"
    else:
        verdict = f"too heavy at arm's length ({limits.women_far:g} kg): keep it close to the body"
    return f"The frame weighs {weight}, {verdict}. A filter, not a legal limit."
