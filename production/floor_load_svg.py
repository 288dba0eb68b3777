"""The weeks of the floor, drawn: a column a week as high as it is full, against the line of what there is."""

from collections.abc import Sequence

from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

from inventory.words import per_cent
from production.floor_load import EXPECTED, HANGING, WANTED, FloorWeeks, Load, kinds_of

INK, SOFT, HAIR, WAX, PAPER = "#2a251f", "#6b6154", "#d8cdbb", "#b9770e", "#f7f2e8"
WIDTH, HEIGHT = 920, 280
LEFT, RIGHT, TOP, BOTTOM = 64, 60, 22, 42
WIDEST, GAP = 64, 0.25  # px of a column; of a week's room left between two
LABEL = 46  # px a week's date takes
AT_END, MIDDLE = 'text-anchor="end"', 'text-anchor="middle"'


def draw_load(floor: FloorWeeks, loads: Sequence[tuple[Load, Load]]) -> SafeString:
    """An inline SVG, WIDTH x HEIGHT px. Loads as asked for and levelled; the level is a stroke across the column."""
    most = max(1.0, *(asked.most for asked, _ in loads)) * 1.12 if loads else 1.0
    room = (WIDTH - LEFT - RIGHT) / max(1, len(loads))
    width = min(WIDEST, room * (1 - GAP))
    base = HEIGHT - BOTTOM
    scale = (base - TOP) / most
    parts = _scale(most, scale, base)
    for place, (asked, level) in enumerate(loads):
        x = LEFT + (place + 0.5) * room - width / 2
        parts += _column(x, width, base, asked.most * scale, kinds_of(floor.of_week(place)))
        if abs(level.most - asked.most) > 0.005:
            y = base - level.most * scale
            parts.append(f'<path d="M{x - 5:.1f} {y:.1f}h{width + 10:.1f}" stroke="{INK}" stroke-width="3"/>')
        parts += _date(floor, place, room, base)
    words = "; ".join(
        f"week of {week.monday.day} {week.monday:%b} {per_cent(asked.most)}"
        for week, (asked, _) in zip(floor.weeks, loads, strict=True)
    )
    return mark_safe(  # noqa: S308 - numbers and escaped words
        f'<svg class="load" xmlns="http://www.w3.org/2000/svg" role="img" aria-label="{escape("How full: " + words)}"'
        f' width="{WIDTH}" height="{HEIGHT}" viewBox="0 0 {WIDTH} {HEIGHT}" font-size="12" fill="{SOFT}">'
        f"{''.join(parts)}</svg>"
    )


def _scale(most: float, scale: float, base: float) -> list[str]:
    parts, step = [], 0.25 if most < 1.6 else 0.5 if most < 3.5 else 1.0
    share = 0.0
    while share <= most:
        y, rule = base - share * scale, INK if not share else HAIR
        parts.append(f'<path d="M{LEFT} {y:.1f}H{WIDTH - RIGHT}" stroke="{rule}"/>')
        parts.append(f'<text x="{LEFT - 8}" y="{y + 4:.1f}" {AT_END}>{round(100 * share)} %</text>')
        share += step
    full = base - scale
    parts.append(f'<path d="M{LEFT} {full:.1f}H{WIDTH - RIGHT}" stroke="{WAX}" stroke-width="2"/>')
    parts.append(f'<text x="{WIDTH - RIGHT + 8}" y="{full + 4:.1f}" fill="{INK}">full</text>')
    return parts


def _column(x: float, width: float, base: float, height: float, kinds: dict[str, float]) -> list[str]:
    """The column in its parts from below: upright lines hang, dots are wanted, bare is expected."""
    parts, below, whole = [], 0.0, sum(kinds.values())
    for kind in (HANGING, WANTED, EXPECTED):
        high = height * kinds.get(kind, 0.0) / whole if whole else 0.0
        if high < 0.3:
            continue
        y = base - below - high
        parts.append(
            f'<rect x="{x:.1f}" y="{y:.1f}" width="{width:.1f}" height="{high:.1f}" fill="{PAPER}" stroke="{INK}"/>'
        )
        parts.append(weave(kind, x, y, width, high))
        below += high
    return parts


def weave(kind: str, x: float, y: float, width: float, high: float) -> str:
    """What fills a part of a column: strokes of its own, because a shared pattern prints blank."""
    if kind == HANGING:
        lines = "".join(f"M{x + at:.1f} {y:.1f}v{high:.1f}" for at in _steps(width, 5))
        return f'<path d="{lines}" stroke="{INK}" fill="none"/>'
    if kind == WANTED:
        dots = "".join(f"M{x + at:.1f} {y + down:.1f}h1.6" for at in _steps(width, 5) for down in _steps(high, 5))
        return f'<path d="{dots}" stroke="{INK}" stroke-width="1.6" fill="none"/>'
    return ""


def _steps(length: float, apart: int) -> list[float]:
    return [at for at in range(apart, int(length), apart) if at < length - 1]


def draw_key(kind: str) -> SafeString:
    """A small sample of a weave, to stand in a legend."""
    box = f'<rect x="0.5" y="0.5" width="27" height="13" fill="{PAPER}" stroke="{INK}"/>'
    size = 'width="28" height="14" viewBox="0 0 28 14"'
    return mark_safe(  # noqa: S308 - numbers only
        f'<svg class="key" xmlns="http://www.w3.org/2000/svg" aria-hidden="true" {size}>'
        f"{box}{weave(kind, 0.5, 0.5, 27, 13)}</svg>"
    )


def _date(floor: FloorWeeks, place: int, room: float, base: float) -> list[str]:
    """The Monday under its column, as often as there is room for the words."""
    every = max(1, -(-LABEL // max(1, int(room))))
    if place % every:
        return []
    monday, x = floor.weeks[place].monday, LEFT + (place + 0.5) * room
    return [f'<text x="{x:.1f}" y="{base + 18:.1f}" {MIDDLE}>{monday.day} {monday:%b}</text>']
