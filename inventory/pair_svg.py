"""The pair: two candles joined by their wick, as they hang on the bench.

One scale for every candle, in length and in thickness, so that a taper is thin beside a dinner candle and a stub is
stubby. The wax keeps its whole width in its own colour; the ink outline lies outside it.
"""

from decimal import Decimal
from functools import lru_cache
from math import radians, sin

from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

INK = "#2a251f"
SCALE = 0.16  # px a mm: a 300 mm taper stands in a table row
GAP = 6.0  # px between the two candles
ARCH = 7.0  # px the wick rises above the tips
EDGE = 1.0  # px left free for the outline
ASKEW = 7  # degrees one candle of a second leans


# A workshop has a few hundred candles, and a list draws the same ones again and again.
@lru_cache(maxsize=2000)
def draw_pair(
    *,
    length_mm: Decimal | float,
    base_mm: Decimal | float,
    tip_mm: Decimal | float,
    colour: str,
    second: bool = False,
    scale: float = SCALE,
    title: str | None = None,
) -> SafeString:
    """The pair as an inline SVG; mm in, `scale` CSS px a mm, `colour` as #rrggbb.

    Decorative unless it has a title, since it stands beside the candle's name; a second is always told in words too.
    Raises ValueError for a shape that cannot hang: length, base or tip not above zero, or a tip thicker than the base.
    """
    length, base, tip = (float(mm) * scale for mm in (length_mm, base_mm, tip_mm))
    if not 0 < tip <= base or length <= 0:
        raise ValueError(f"no candle is {length_mm} long, {base_mm} at the base and {tip_mm} at the tip (mm)")
    lean = (length + ARCH) * sin(radians(ASKEW)) if second else 0.0
    left = EDGE + lean + base / 2
    right = left + base + GAP
    width, height = right + base / 2 + EDGE, ARCH + length + 2 * EDGE
    top = EDGE + ARCH
    hang = f' transform="rotate({ASKEW} {_n(left)} {_n(EDGE)})"' if second else ""
    bodies = (
        f"<g{hang}>{_draw_candle((left, top), length, base, tip, colour)}</g>"
        f"{_draw_candle((right, top), length, base, tip, colour)}"
    )
    radius = (right - left) / 2
    rise = min(ARCH, radius)
    wick = (
        f'<path d="M{_n(left)} {_n(top)}V{_n(EDGE + rise)}A{_n(radius)} {_n(rise)} 0 0 1 {_n(right)} '
        f'{_n(EDGE + rise)}V{_n(top)}" fill="none" stroke="{INK}" stroke-width="0.9"/>'
    )
    words = ", ".join(part for part in (title, "second" if second else None) if part)
    role = f'role="img"><title>{escape(words)}</title>' if words else 'aria-hidden="true">'
    size = f'width="{_n(width)}" height="{_n(height)}" viewBox="0 0 {_n(width)} {_n(height)}"'
    return mark_safe(  # noqa: S308 - numbers, and escaped words and colour
        f'<svg class="pair" xmlns="http://www.w3.org/2000/svg" {size} {role}{wick}{bodies}</svg>'
    )


def draw_pair_of(candle, *, second: bool = False, title: str | None = None) -> SafeString:
    """The pair of a candle at the usual scale; otherwise as `draw_pair`."""
    return draw_pair(
        length_mm=candle.length_mm,
        base_mm=candle.base_mm,
        tip_mm=candle.tip_mm,
        colour=candle.colour.hex,
        second=second,
        title=title,
    )


def _draw_candle(hung_at: tuple[float, float], length: float, base: float, tip: float, colour: str) -> str:
    """One candle, tip up. The path is drawn twice: the outline first, the wax at its full width over it."""
    path = candle_path(hung_at, length, base, tip)
    return (
        f'<path d="{path}" fill="{INK}" stroke="{INK}" stroke-width="1.4"/><path d="{path}" fill="{escape(colour)}"/>'
    )


def candle_path(hung_at: tuple[float, float], length: float, base: float, tip: float) -> str:
    """The outline of one candle whose tip hangs at that point, as the `d` of a path; all in px."""
    middle, top = hung_at
    round_tip, round_base = min(tip * 0.6, length * 0.2), min(base * 0.25, length * 0.1)
    bottom = top + length
    return (
        f"M{_n(middle)} {_n(top)}"
        f"Q{_n(middle + tip / 2)} {_n(top)} {_n(middle + tip / 2)} {_n(top + round_tip)}"
        f"L{_n(middle + base / 2)} {_n(bottom - round_base)}"
        f"Q{_n(middle + base / 2)} {_n(bottom)} {_n(middle + base / 2 - round_base)} {_n(bottom)}"
        f"H{_n(middle - base / 2 + round_base)}"
        f"Q{_n(middle - base / 2)} {_n(bottom)} {_n(middle - base / 2)} {_n(bottom - round_base)}"
        f"L{_n(middle - tip / 2)} {_n(top + round_tip)}"
        f"Q{_n(middle - tip / 2)} {_n(top)} {_n(middle)} {_n(top)}z"
    )


def _n(number: float) -> str:
    return f"{number:.2f}".rstrip("0").rstrip(".")
