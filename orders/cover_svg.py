"""The cover bar: a line's pairs from left to right, told apart by weave, so that it reads in grey and in any eye.

Every stroke is worked out here and drawn as a plain path: a weave taken from a <pattern> prints blank where that
pattern lies in another SVG of the page (tried with WeasyPrint 70), and a path needs no id that could clash. Strokes
that repeat are drawn from where the last one ended: the same few letters again, on a page of fifty bars.
"""

from functools import lru_cache

from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

from orders.cover import Cover

INK = "#2a251f"
LEAST = 3.0  # px: one pair among thousands still shows
CLOSE, UPRIGHT, DOTS = 3.6, 6.0, 4.4  # px between strokes of set aside, floor, planned


# A list of open orders is opened all day, and few of its bars have changed since.
@lru_cache(maxsize=1000)
def draw_cover(cover: Cover, width: float = 192, height: float = 14) -> SafeString:
    """The bar as an inline SVG, width and height in CSS px. Its label is the cover in words."""
    label = escape(cover.in_words())
    shapes = []
    x = 0.5
    for (name, pairs), part in zip(cover.parts, part_widths(cover, width - 1), strict=True):
        if pairs:
            shapes.append(_draw_part(name, x, 0.5, part, height - 1))
            x += part
    frame = f'<rect x="0.5" y="0.5" width="{_n(width - 1)}" height="{_n(height - 1)}" fill="none" stroke="{INK}"/>'
    return mark_safe(  # noqa: S308 - numbers and an escaped label
        f'<svg class="cover" xmlns="http://www.w3.org/2000/svg" role="img" aria-label="{label}"'
        f' width="{_n(width)}" height="{_n(height)}" viewBox="0 0 {_n(width)} {_n(height)}"'
        f' preserveAspectRatio="none">'
        f"{''.join(shapes)}{frame}</svg>"
    )


def draw_swatch(name: str, width: float = 28, height: float = 14) -> SafeString:
    """One weave alone, for the legend. Decorative: the word stands beside it."""
    part = _draw_part(name, 0.5, 0.5, width - 1, height - 1)
    frame = f'<rect x="0.5" y="0.5" width="{_n(width - 1)}" height="{_n(height - 1)}" fill="none" stroke="{INK}"/>'
    return mark_safe(  # noqa: S308 - numbers only
        f'<svg class="cover" xmlns="http://www.w3.org/2000/svg" aria-hidden="true" width="{_n(width)}"'
        f' height="{_n(height)}" viewBox="0 0 {_n(width)} {_n(height)}">{part}{frame}</svg>'
    )


def part_widths(cover: Cover, width: float) -> list[float]:
    """Width in px of each of the five parts; they add up to `width` (all zero for no pairs).

    In proportion to the pairs, but no filled part thinner than LEAST: what that takes comes off the wider ones, in
    proportion to what they have above it.
    """
    parts, in_all = cover.parts, cover.pairs
    if not in_all:
        return [0.0] * len(parts)
    least = min(LEAST, width / len(parts))
    true = [width * pairs / in_all for _, pairs in parts]
    raised = [max(share, least) if share else 0.0 for share in true]
    above = sum(share - least for share in raised if share)
    too_much = sum(raised) - width
    return [share - too_much * (share - least) / above if share and above else share for share in raised]


def _draw_part(name: str, x: float, y: float, width: float, height: float) -> str:
    if name == "sent":
        return f'<rect x="{_n(x)}" y="{_n(y)}" width="{_n(width)}" height="{_n(height)}" fill="{INK}"/>'
    edge = f"M{_n(x + width)} {_n(y)}V{_n(y + height)}"
    if name == "planned":
        return f'<path d="{_dots(x, y, width, height)}" fill="{INK}"/>{_stroke(edge)}'
    weave = {"set_aside": _diagonals, "on_floor": _uprights, "open": lambda *_: ""}[name]
    return _stroke(weave(x, y, width, height), 1.3) + _stroke(edge)


def _diagonals(x: float, y: float, width: float, height: float) -> str:
    """Lines rising at 45 degrees, each cut off at the part's edges."""
    lines, again = [], f"m{_n(CLOSE - height)} {_n(height)}l{_n(height)} {_n(-height)}"
    start, past = x - height + CLOSE / 2, x + width
    while start < past:
        left, right = max(start, x), min(start + height, past)
        lines.append(f"M{_n(left)} {_n(y + height - (left - start))}L{_n(right)} {_n(y + height - (right - start))}")
        # As many as follow one that is whole, and are whole themselves.
        more = max(0, int((past - height - start) // CLOSE)) if start >= x else 0
        lines.append(again * more)
        start += CLOSE * (1 + more)
    return "".join(lines)


def _uprights(x: float, y: float, width: float, height: float) -> str:
    count = max(1, int(width // UPRIGHT))
    step = width / count
    first = f"M{_n(x + step / 2)} {_n(y)}v{_n(height)}"
    return first + f"m{step:.4f} {_n(-height)}v{_n(height)}" * (count - 1)


def _dots(x: float, y: float, width: float, height: float) -> str:
    """Square dots in staggered rows, kept clear of the edges."""
    rows, columns = max(1, round(height / DOTS)), max(1, round(width / DOTS))
    step_x, step_y = width / columns, height / rows
    again = f"m{step_x:.4f} 0h1.4v1.4h-1.4z" * (columns - 1)
    dots = []
    for row in range(rows):
        shift = 0.25 if row % 2 else -0.25
        left, top = x + step_x * (0.5 + shift) - 0.7, y + step_y * (row + 0.5) - 0.7
        dots.append(f"M{_n(left)} {_n(top)}h1.4v1.4h-1.4z{again}")
    return "".join(dots)


def _stroke(path: str, width: float = 1) -> str:
    return f'<path d="{path}" fill="none" stroke="{INK}" stroke-width="{width}"/>' if path else ""


def _n(number: float) -> str:
    return f"{number:.2f}".rstrip("0").rstrip(".")
