"""The dip plan's picture: a vat in its colour, and beneath it the pairs that hang over it, one drawing a frame.

In the hand of inventory.pair_svg and nearly to its scale. A pair is as thick as it will be when the half-day ends, so
one sees which frames come off in it. A late one hangs before close diagonal strokes, and the page says so beside it:
nothing is told by colour alone. Presentation attributes only, no ids, so that paper takes the same drawings. In px.
"""

from dataclasses import dataclass

from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

from inventory.pair_svg import INK, candle_path

SCALE = 0.17  # px a mm
GAP, ARCH, EDGE = 3.0, 8.0, 2.5  # between the two candles, of wick above the tips, left free at the sides
THINNEST = 0.3  # of the finished diameter: the wick with its first coat still shows
STROKES = 3.6  # px between the strokes of the weave
BAND_HIGH, BAND_WIDE, SKEW = 18, 100, 14


@dataclass(frozen=True)
class Shape:
    """A finished candle: mm, and its colour as #rrggbb."""

    length_mm: float
    base_mm: float
    tip_mm: float
    colour: str


def draw_hanging(shape: Shape, *, share: float = 1.0, late: bool = False, scale: float = SCALE) -> SafeString:
    """One frame as the pair it dips; `share`, 0 to 1, of its dips done. Decorative: words stand beside it."""
    length, base, tip = (mm * scale for mm in (shape.length_mm, shape.base_mm, shape.tip_mm))
    thick = min(1.0, THINNEST + (1 - THINNEST) * max(0.0, share))
    left, top = EDGE + base / 2, ARCH
    right = left + base + GAP
    width, height = right + base / 2 + EDGE, ARCH + length + EDGE
    weave = _weave(width, height) if late else ""
    wick = f'<path d="M{_n(left)} {_n(top)}V0M{_n(right)} {_n(top)}V0" fill="none" stroke="{INK}" stroke-width="0.9"/>'
    candles = "".join(_candle((x, top), length, base * thick, tip * thick, shape.colour) for x in (left, right))
    return mark_safe(  # noqa: S308 - numbers and an escaped colour
        f'<svg class="hang" xmlns="http://www.w3.org/2000/svg" width="{_n(width)}" height="{_n(height)}" '
        f'viewBox="0 0 {_n(width)} {_n(height)}" aria-hidden="true">{weave}{wick}{candles}</svg>'
    )


def draw_bath(colour: str, *, before: str = "") -> SafeString:
    """The vat's wax, as wide as the page gives it. `before`: the colour it is changed from, cut off at its left."""
    high, wide = BAND_HIGH, BAND_WIDE
    old = ""
    if before:
        edge = f"M{SKEW} {high}L{SKEW - 6} 0"
        old = (
            f'<path d="M0 0H{SKEW - 6}L{SKEW} {high}H0z" fill="{escape(before)}"/>'
            f'<path d="{edge}" stroke="{INK}" stroke-width="1.5" {_STILL}/>'
        )
    return mark_safe(  # noqa: S308 - numbers and escaped colours
        f'<svg class="bath" xmlns="http://www.w3.org/2000/svg" width="100%" height="{high}" '
        f'viewBox="0 0 {wide} {high}" preserveAspectRatio="none" aria-hidden="true">'
        f'<rect width="{wide}" height="{high}" fill="{escape(colour)}"/>{old}'
        f'<path d="M0 0V{high}H{wide}V0" fill="none" stroke="{INK}" stroke-width="2" {_STILL}/></svg>'
    )


def draw_late_swatch() -> SafeString:
    """The weave of late ones alone, for the legend."""
    return mark_safe(  # noqa: S308 - numbers only
        f'<svg xmlns="http://www.w3.org/2000/svg" width="28" height="16" aria-hidden="true">{_weave(28, 16)}</svg>'
    )


# Stretched sideways with the page, lines keep their width.
_STILL = 'vector-effect="non-scaling-stroke"'


def _candle(at: tuple[float, float], length: float, base: float, tip: float, colour: str) -> str:
    """As in inventory.pair_svg: the outline lies outside the wax, so that a thin candle keeps its colour."""
    path = candle_path(at, length, base, tip)
    return (
        f'<path d="{path}" fill="{INK}" stroke="{INK}" stroke-width="1.2"/><path d="{path}" fill="{escape(colour)}"/>'
    )


def _weave(width: float, height: float) -> str:
    """Lines rising at 45 degrees, each cut off at the edges: a pattern would need an id, and prints blank."""
    lines, start = [], STROKES / 2 - height
    while start < width:
        left, right = max(start, 0.0), min(start + height, width)
        lines.append(f"M{_n(left)} {_n(height - (left - start))}L{_n(right)} {_n(height - (right - start))}")
        start += STROKES
    return f'<path d="{"".join(lines)}" fill="none" stroke="{INK}" stroke-width="1"/>'


def _n(number: float) -> str:
    return f"{number:.2f}".rstrip("0").rstrip(".")
