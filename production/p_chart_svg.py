"""The p-chart, drawn: a point a graded frame, the centre, limits that step with the frame's size, points out named."""

from collections.abc import Sequence
from datetime import date

from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

from inventory.words import per_cent
from production.p_chart import Chart

INK, SOFT, HAIR, WAX, PAPER = "#2a251f", "#6b6154", "#d8cdbb", "#b9770e", "#f7f2e8"
WIDTH, HEIGHT = 920, 320
LEFT, RIGHT, TOP, BOTTOM = 64, 14, 26, 46
CHARACTER = 7.0  # px a letter of a label is wide at most, at 12 px
STROKE = f'stroke="{INK}"'
RULE = f'stroke="{HAIR}"'
CENTRE = f'stroke="{WAX}" stroke-width="1.5"'
AT_END = 'text-anchor="end"'
NAMED = f'text-anchor="middle" fill="{INK}" font-weight="700"'
STEPS = (0.02, 0.05, 0.1, 0.2, 0.25, 0.5)


class _Field:
    """Where a frame's place and a share lie on the drawing, in px."""

    def __init__(self, frames: int, highest: float):
        self.top_share = min(1.0, highest * 1.12) or 0.1
        self.pitch = (WIDTH - LEFT - RIGHT) / max(1, frames)

    def x(self, place: float) -> float:
        return LEFT + (place + 0.5) * self.pitch

    def y(self, share: float) -> float:
        return HEIGHT - BOTTOM - share / self.top_share * (HEIGHT - TOP - BOTTOM)


def draw_p_chart(chart: Chart, codes: Sequence[str], days: Sequence[date]) -> SafeString:
    """An inline SVG, WIDTH x HEIGHT px, of the chart's frames in their order. Its label says the whole in words."""
    field = _Field(len(chart.points), max(max(p.share, p.upper) for p in chart.points))
    parts = [
        *_scale(field),
        *_days(field, days),
        *_limits(field, chart),
        *_points(field, chart),
        *_names(field, chart, codes),
    ]
    out = ", ".join(codes[place] for place in chart.signals) or "none"
    mean = per_cent(chart.centre, 1)
    label = escape(f"Share of seconds of {len(codes)} graded frames, {mean} in all; beyond their limits: {out}.")
    return mark_safe(  # noqa: S308 - numbers and escaped words
        f'<svg class="p-chart" xmlns="http://www.w3.org/2000/svg" role="img" aria-label="{label}" width="{WIDTH}"'
        f' height="{HEIGHT}" viewBox="0 0 {WIDTH} {HEIGHT}" font-size="12" fill="{SOFT}">{"".join(parts)}</svg>'
    )


def _line(x1: float, y1: float, x2: float, y2: float, look: str = "") -> str:
    return f'<path d="M{x1:.1f} {y1:.1f}L{x2:.1f} {y2:.1f}" {look or STROKE}/>'


def _text(x: float, y: float, words: str, look: str = 'text-anchor="middle"') -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" {look}>{escape(words)}</text>'


def _scale(field: _Field) -> list[str]:
    step = next((step for step in STEPS if field.top_share / step <= 6), STEPS[-1])
    parts, share = [], 0.0
    while share <= field.top_share + 1e-9:
        y = field.y(share)
        parts.append(_line(LEFT, y, WIDTH - RIGHT, y, "" if not share else RULE))
        parts.append(_text(LEFT - 8, y + 4, per_cent(share), AT_END))
        share += step
    return [*parts, _text(LEFT - 8, 14, "seconds", AT_END)]


def _days(field: _Field, days: Sequence[date]) -> list[str]:
    """The first frame of each month, as far apart as their words need."""
    parts, month, free_from = [], None, 0.0
    for place, day in enumerate(days):
        if (day.year, day.month) == month:
            continue
        words = f"{day.day} {day:%b}" if month is None else f"{day:%b %Y}" if day.month == 1 else f"{day:%b}"
        month, x = (day.year, day.month), field.x(place)
        if x < free_from or x + len(words) * CHARACTER > WIDTH:
            continue
        parts += [_line(x, HEIGHT - BOTTOM, x, HEIGHT - BOTTOM + 5), _text(x, HEIGHT - BOTTOM + 19, words, "")]
        free_from = x + (len(words) + 2) * CHARACTER
    return [*parts, _text(WIDTH - RIGHT, HEIGHT - 6, "frames in the order they were taken off", AT_END)]


def _limits(field: _Field, chart: Chart) -> list[str]:
    centre = field.y(chart.centre)
    parts = [_line(LEFT, centre, WIDTH - RIGHT, centre, CENTRE)]
    for limit in ("upper", "lower"):
        steps, before = "", None
        for place, point in enumerate(chart.points):
            y, x = field.y(getattr(point, limit)), field.x(place - 0.5)
            steps += f"{'M' if before is None else 'L'}{x:.1f} {y:.1f}L{x + field.pitch:.1f} {y:.1f}"
            before = y
        parts.append(f'<path d="{steps}" stroke="{SOFT}" fill="none" stroke-dasharray="5 4"/>')
    return parts


def _points(field: _Field, chart: Chart) -> list[str]:
    spots = [(field.x(place), field.y(point.share), point.out) for place, point in enumerate(chart.points)]
    path = "L".join(f"{x:.1f} {y:.1f}" for x, y, _ in spots)
    size = 3.0 if field.pitch > 7 else 2.0
    parts = [f'<path d="M{path}" stroke="{SOFT}" stroke-width="0.8" fill="none"/>']
    for x, y, out in spots:
        if out:
            # Told by shape too: a ring round the point.
            parts.append(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{size + 4}" fill="{PAPER}" stroke="{INK}" stroke-width="1.5"/>')  # fmt: skip  # noqa: E501
        parts.append(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{size}" fill="{INK}"/>')
    return parts


def _names(field: _Field, chart: Chart, codes: Sequence[str]) -> list[str]:
    """The code beside each point out, left out where it would lie on another: the words below name them all."""
    parts, taken = [], []
    for place in chart.signals:
        x, y = field.x(place), field.y(chart.points[place].share)
        half = len(codes[place]) * CHARACTER / 2
        x = min(max(x, LEFT + half), WIDTH - RIGHT - half)
        if all(abs(x - other) > half + width + 4 or abs(y - height) > 16 for other, height, width in taken):
            parts.append(_text(x, max(12.0, y - 12), codes[place], NAMED))
            taken.append((x, y, half))
    return parts
