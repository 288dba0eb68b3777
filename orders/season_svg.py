"""The booking curve, drawn: pairs booked by day this season and the one before, and where this one may end."""

from datetime import date, timedelta

from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

from orders.season.booking_curve import Curve
from orders.season.dates import SeasonDates, years_on
from orders.season.projection import Projection

INK, SOFT, HAIR, WAX = "#2a251f", "#6b6154", "#d8cdbb", "#b9770e"
WIDTH, HEIGHT = 920, 320
LEFT, RIGHT, TOP, BOTTOM = 64, 124, 26, 40
STEPS = (10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10_000, 20_000, 50_000, 100_000, 200_000, 500_000)
LEAD = 62  # days before the first day of sending that are drawn: what was booked sooner stands at the left edge
AT_END = 'text-anchor="end"'


class _Field:
    """Where a day and a number of pairs lie, in px."""

    def __init__(self, dates: SeasonDates, most: int):
        self.first, self.last = dates.begins - timedelta(days=LEAD), dates.ends
        self.most = max(10, most) * 1.08

    def x(self, day: date) -> float:
        share = (day - self.first).days / (self.last - self.first).days
        return LEFT + min(1.0, max(0.0, share)) * (WIDTH - LEFT - RIGHT)

    def y(self, pairs: float) -> float:
        return HEIGHT - BOTTOM - pairs / self.most * (HEIGHT - TOP - BOTTOM)


def draw_curve(
    now: Curve, before: Curve, dates: SeasonDates, today: date, projection: Projection | None
) -> SafeString:
    """An inline SVG, WIDTH x HEIGHT px. `before`: the season a year earlier, drawn on this one's days."""
    high = projection.range[1] if projection else 0
    field = _Field(dates, max(now.total, before.total, high))
    back = Curve(tuple((years_on(day, 1), pairs) for day, pairs in before.steps))
    parts = [
        *_scale(field),
        *_months(field),
        _steps(field, back, field.last, f'stroke="{SOFT}" stroke-dasharray="6 4"'),
        _steps(field, now, min(today, field.last), f'stroke="{INK}" stroke-width="2.2"'),
        *_end(field, before.total, projection),
        *_today(field, now, today),
    ]
    then = before.by(years_on(today, -1))
    label = escape(
        f"Pairs booked by day: {now.by(today):,} up to today, {then:,} by this day last year, {before.total:,} in all "
        f"last year{f', {projection.total:,} projected' if projection else ''}."
    )
    return mark_safe(  # noqa: S308 - numbers and escaped words
        f'<svg class="curve" xmlns="http://www.w3.org/2000/svg" role="img" aria-label="{label}" width="{WIDTH}"'
        f' height="{HEIGHT}" viewBox="0 0 {WIDTH} {HEIGHT}" font-size="12" fill="{SOFT}">{"".join(parts)}</svg>'
    )


def _text(x: float, y: float, words: str, look: str = "") -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" {look}>{escape(words)}</text>'


def _line(x1: float, y1: float, x2: float, y2: float, look: str) -> str:
    return f'<path d="M{x1:.1f} {y1:.1f}L{x2:.1f} {y2:.1f}" {look}/>'


def _scale(field: _Field) -> list[str]:
    step = next((step for step in STEPS if field.most / step <= 6), STEPS[-1])
    parts = []
    for pairs in range(0, int(field.most) + 1, step):
        y, rule = field.y(pairs), INK if not pairs else HAIR
        parts.append(_line(LEFT, y, WIDTH - RIGHT, y, f'stroke="{rule}"'))
        parts.append(_text(LEFT - 8, y + 4, f"{pairs:,}", AT_END))
    return [*parts, _text(LEFT - 8, 14, "pairs", AT_END)]


def _months(field: _Field) -> list[str]:
    parts, day = [], field.first.replace(day=1)
    while day <= field.last:
        if day >= field.first:
            x = field.x(day)
            parts.append(_line(x, HEIGHT - BOTTOM, x, HEIGHT - BOTTOM + 5, f'stroke="{INK}"'))
            parts.append(_text(x, HEIGHT - BOTTOM + 19, f"{day:%b}"))
        day = (day + timedelta(days=32)).replace(day=1)
    return parts


def _steps(field: _Field, curve: Curve, until: date, look: str) -> str:
    """A stair: what is booked stays booked."""
    path = f"M{field.x(field.first):.1f} {field.y(curve.by(field.first)):.1f}"
    for day, pairs in curve.steps:
        if field.first < day <= until:
            path += f"H{field.x(day):.1f}V{field.y(pairs):.1f}"
    return f'<path d="{path}H{field.x(until):.1f}" fill="none" {look}/>'


def _end(field: _Field, last: int, projection: Projection | None) -> list[str]:
    """At the right edge: how last season ended, and between what this one will."""
    x, taken, parts = WIDTH - RIGHT, [], []
    words = [(last, f"{last:,} last year", "")] if last else []
    if projection:
        low, high = projection.range
        parts.append(_line(x + 6, field.y(low), x + 6, field.y(high), f'stroke="{WAX}" stroke-width="5"'))
        ink = f'fill="{INK}"'
        words = [
            (projection.total, f"about {projection.total:,}", ink),
            (high, f"{high:,}", ""),
            (low, f"{low:,}", ""),
            *words,
        ]
    for pairs, said, look in words:
        y = field.y(pairs) + 4
        if all(abs(y - other) > 13 for other in taken):
            parts.append(_text(x + 14, y, said, look))
            taken.append(y)
    return parts


def _today(field: _Field, now: Curve, today: date) -> list[str]:
    if not field.first <= today <= field.last:
        return []
    x, y, pairs = field.x(today), field.y(now.by(today)), now.by(today)
    look = f'{AT_END} fill="{INK}" font-weight="700"'
    return [
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="4" fill="{INK}"/>',
        _text(x - 9, max(12.0, y - 8), f"{pairs:,} today", look),
    ]
