"""The growth of one frame, drawn: readings, the fitted line with its band, the gauge window. mm against dips.

Presentation attributes only; the label says the whole in words. Sizes in px.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

from production.growth import Line, predict_line

INK, SOFT, HAIR, WAX, DEEP, PAPER = "#2a251f", "#6b6154", "#d8cdbb", "#b9770e", "#7a4b00", "#f7f2e8"
WIDTH, HEIGHT = 560, 300
LEFT, RIGHT, TOP, BOTTOM = 46, 16, 22, 44
STEPS = (1, 2, 5, 10, 20, 50, 100, 200)
MOST_TICKS = 7
BAND_CHANCE = 0.9


@dataclass(frozen=True)
class Mark:
    """A gauge reading that stands. `odd`: out of line."""

    dips: int
    mm: float
    odd: bool = False


@dataclass(frozen=True)
class Gauge:
    low_mm: float
    high_mm: float
    to_mm: float  # where this stage ends


class _Field:
    """Where dips and mm lie on the drawing."""

    def __init__(self, dips: int, mm: float):
        self.dips, self.mm = max(1, dips), mm

    def x(self, dips: float) -> float:
        return LEFT + dips / self.dips * (WIDTH - LEFT - RIGHT)

    def y(self, mm: float) -> float:
        return HEIGHT - BOTTOM - min(max(mm, 0.0), self.mm) / self.mm * (HEIGHT - TOP - BOTTOM)


def draw_growth(
    line: Line, marks: Sequence[Mark], gauge: Gauge, *, begun: int, dips: int, most: int, name: str
) -> SafeString:
    """An inline SVG. `begun`: dips at which the line's stage began; `dips` now; `most`: the last dip worth showing."""
    highest = max([gauge.high_mm * 1.12, line.at(dips) * 1.04, *(mark.mm * 1.04 for mark in marks)])
    field = _Field(max(most, dips, 5) + 1, highest)
    parts = [
        *_draw_gauge(field, gauge),
        *_draw_axes(field),
        _draw_band(field, line, begun),
        _draw_line(field, line, begun),
        _draw_now(field, dips),
        *(_draw_mark(field, mark) for mark in marks),
        *_draw_last(field, marks),
    ]
    return mark_safe(  # noqa: S308 - numbers, and escaped words
        f'<svg class="growth" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" role="img" '
        f'aria-label="{escape(_in_words(line, marks, gauge, dips, name))}" font-size="13" fill="{INK}">'
        f"{''.join(parts)}</svg>"
    )


def _draw_gauge(field: _Field, gauge: Gauge) -> list[str]:
    top, bottom = field.y(gauge.high_mm), field.y(gauge.low_mm)
    end = f'stroke="{WAX}"'
    return [
        f'<rect x="{LEFT}" y="{top:.1f}" width="{WIDTH - LEFT - RIGHT}" height="{bottom - top:.1f}" fill="#e3c288"/>',
        f'<line x1="{LEFT}" y1="{top:.1f}" x2="{WIDTH - RIGHT}" y2="{top:.1f}" {end}/>',
        f'<line x1="{LEFT}" y1="{bottom:.1f}" x2="{WIDTH - RIGHT}" y2="{bottom:.1f}" {end}/>',
        f'<text x="{LEFT + 8}" y="{top - 6:.1f}" fill="{DEEP}">gauge {gauge.low_mm:g} to {gauge.high_mm:g} mm</text>',
    ]


def _draw_axes(field: _Field) -> list[str]:
    base, end = HEIGHT - BOTTOM, WIDTH - RIGHT
    parts = [
        f'<line x1="{LEFT}" y1="{base}" x2="{end}" y2="{base}" stroke="{INK}"/>',
        f'<line x1="{LEFT}" y1="{TOP}" x2="{LEFT}" y2="{base}" stroke="{INK}"/>',
        f'<text x="{LEFT}" y="{HEIGHT - 6}" text-anchor="end" fill="{SOFT}">dips</text>',
        f'<text x="{LEFT - 8}" y="{TOP - 8}" text-anchor="end" fill="{SOFT}">mm</text>',
    ]
    for dips in _ticks(field.dips):
        x = f"{field.x(dips):.1f}"
        parts.append(f'<line x1="{x}" y1="{base}" x2="{x}" y2="{base + 5}" stroke="{INK}"/>')
        parts.append(f'<text x="{x}" y="{base + 19}" text-anchor="middle">{dips}</text>')
    for mm in _ticks(field.mm):
        y = field.y(mm)
        parts.append(f'<line x1="{LEFT - 5}" y1="{y:.1f}" x2="{LEFT}" y2="{y:.1f}" stroke="{INK}"/>')
        parts.append(f'<text x="{LEFT - 9}" y="{y + 4.5:.1f}" text-anchor="end">{mm}</text>')
    return parts


def _ticks(most: float) -> list[int]:
    step = next((step for step in STEPS if most / step <= MOST_TICKS), STEPS[-1])
    return list(range(0, int(most) + 1, step))


def _draw_band(field: _Field, line: Line, begun: int) -> str:
    """Where the frame's mean lies with that chance; none where too little is known."""
    try:
        ranges = [(dips, predict_line(line, dips, BAND_CHANCE)) for dips in _along(field, begun)]
    except ValueError:
        return ""
    upper = [f"{field.x(dips):.1f},{field.y(each.high):.1f}" for dips, each in ranges]
    lower = [f"{field.x(dips):.1f},{field.y(each.low):.1f}" for dips, each in reversed(ranges)]
    return f'<polygon points="{" ".join(upper + lower)}" fill="{INK}" fill-opacity="0.16"/>'


def _draw_line(field: _Field, line: Line, begun: int) -> str:
    points = " ".join(f"{field.x(dips):.1f},{field.y(line.at(dips)):.1f}" for dips in _along(field, begun))
    return f'<polyline points="{points}" fill="none" stroke="{INK}" stroke-width="1.4"/>'


def _along(field: _Field, begun: int) -> list[float]:
    return [begun + (field.dips - begun) * n / 24 for n in range(25)]


def _draw_now(field: _Field, dips: int) -> str:
    x = field.x(dips)
    return (
        f'<line x1="{x:.1f}" y1="{TOP + 14}" x2="{x:.1f}" y2="{HEIGHT - BOTTOM}" stroke="{SOFT}" '
        f'stroke-dasharray="2 4"/><text x="{x:.1f}" y="{HEIGHT - 6}" text-anchor="middle" fill="{SOFT}">'
        f"now {dips}</text>"
    )


def _draw_mark(field: _Field, mark: Mark) -> str:
    at = f'cx="{field.x(mark.dips):.1f}" cy="{field.y(mark.mm):.1f}"'
    if mark.odd:
        return f'<circle {at} r="6" fill="{PAPER}" stroke="{INK}" stroke-width="2"/>'
    return f'<circle {at} r="4.5" fill="{INK}"/>'


def _draw_last(field: _Field, marks: Sequence[Mark]) -> list[str]:
    if not marks:
        return []
    last = marks[-1]
    x, anchor = field.x(last.dips) + 10, "start"
    if x > WIDTH - RIGHT - 60:
        x, anchor = field.x(last.dips) - 10, "end"
    words = f"{last.mm:.1f}{' out of line' if last.odd else ''}"
    return [f'<text x="{x:.1f}" y="{field.y(last.mm) + 18:.1f}" text-anchor="{anchor}">{words}</text>']


def _in_words(line: Line, marks: Sequence[Mark], gauge: Gauge, dips: int, name: str) -> str:
    read = ", ".join(f"{mark.mm:.1f} mm after {mark.dips}{' (out of line)' if mark.odd else ''}" for mark in marks)
    return (
        f"Growth of {name}: {dips} dips, about {line.at(dips):.1f} mm, {line.growth:.2f} mm a dip; "
        f"gauge {gauge.low_mm:g} to {gauge.high_mm:g} mm. Readings: {read or 'none yet'}."
    )
