"""The carousel from above: positions round a hub, each a candle end-on growing inside its gauge ring.

The next frame to dip stands over the vat, at the bottom. Presentation attributes only, so that it prints and reads in
grey: what is told by colour is told by outline and words too. Sizes in px.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, pi, radians, sin

from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

INK, SOFT, HAIR, PAPER = "#2a251f", "#6b6154", "#a89a83", "#f7f2e8"
WIDTH, HEIGHT = 640, 490
HUB = (320, 236)
ARM, RING, HUB_RING = 142, 35, 15
VAT_HALF, VAT_ABOVE, VAT_BELOW = 76, 56, 58  # about the spot over the vat
LINE = 19
MOST_LETTERS = 19  # of a label's line beside the carousel
FULL_LABELS = 8  # positions up to which every label has room for two lines


@dataclass(frozen=True)
class Spot:
    """One position. `share`: present diameter over the gauge's middle; None: nothing hangs there. `said`: how far."""

    position: int
    code: str = ""
    name: str = ""
    said: str = ""
    share: float | None = None
    colour: str = PAPER
    done: bool = False


@dataclass(frozen=True)
class Over:
    """The vat the carousel stands over."""

    name: str
    colour: str


def draw_carousel(spots: Sequence[Spot], *, over: Over | None, next_position: int | None, name: str) -> SafeString:
    """The picture as an inline SVG; `next_position` stands at the bottom. Its label says the whole in words."""
    order = _from_next(spots, next_position)
    places = [_place(turn, len(order)) for turn in range(len(order))]
    ring = min(RING, ARM * sin(pi / max(2, len(order))) * 0.8)
    parts = [_draw_vat(over, order[0] if next_position else None)] if over else []
    parts += [_draw_arm(place, strong=turn == 0 and bool(next_position)) for turn, place in enumerate(places)]
    parts.append(f'<circle cx="{HUB[0]}" cy="{HUB[1]}" r="{HUB_RING}" fill="{INK}"/>')
    for turn, (spot, place) in enumerate(zip(order, places, strict=True)):
        parts.append(_draw_spot(spot, place, ring))
        parts.append(_draw_label(spot, place, ring, turn=turn, of=len(order), vat=over is not None))
    return mark_safe(  # noqa: S308 - numbers, and escaped words and colours
        f'<svg class="carousel" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" role="img" '
        f'aria-label="{escape(_in_words(order, over, next_position, name))}" font-size="16" fill="{INK}">'
        f"{''.join(parts)}</svg>"
    )


def _from_next(spots: Sequence[Spot], next_position: int | None) -> list[Spot]:
    first = next((n for n, spot in enumerate(spots) if spot.position == next_position), 0)
    return [*spots[first:], *spots[:first]]


def _place(turn: int, of: int) -> tuple[float, float]:
    angle = radians(90 + 360 * turn / of)
    return HUB[0] + ARM * cos(angle), HUB[1] + ARM * sin(angle)


def _draw_vat(over: Over, spot: Spot | None) -> str:
    x, y = _place(0, 1)
    left, top, wide, high = x - VAT_HALF, y - VAT_ABOVE, 2 * VAT_HALF, VAT_ABOVE + VAT_BELOW
    return (
        f'<rect x="{left:g}" y="{top:g}" width="{wide}" height="{high}" rx="14" fill="{escape(over.colour)}" '
        f'stroke="{INK}" stroke-width="2"/><rect x="{left + 6:g}" y="{top + 6:g}" width="{wide - 12}" '
        f'height="{high - 12}" rx="9" fill="none" stroke="{SOFT}"/>'
    )


def _draw_arm(place: tuple[float, float], *, strong: bool) -> str:
    return (
        f'<line x1="{HUB[0]}" y1="{HUB[1]}" x2="{place[0]:.1f}" y2="{place[1]:.1f}" stroke="{INK}" '
        f'stroke-width="{3 if strong else 1.2}"/>'
    )


def _draw_spot(spot: Spot, place: tuple[float, float], ring: float) -> str:
    at = f'cx="{place[0]:.1f}" cy="{place[1]:.1f}"'
    if spot.share is None:
        return (
            f'<circle {at} r="{ring:.1f}" fill="{PAPER}" stroke="{HAIR}" stroke-width="1.5" stroke-dasharray="3 4"/>'
        )
    # The outer ring is the gauge; a candle that overshot it is drawn over its edge, as it would be in the holder.
    candle = max(3.0, ring * min(spot.share, 1.12))
    gauge = f'<circle {at} r="{ring:.1f}" fill="none" stroke="{INK}" stroke-width="{3 if spot.done else 1.6}"/>'
    wick = f'<circle {at} r="2" fill="{INK}"/>'
    return (
        f'<circle {at} r="{ring + 4:.1f}" fill="{PAPER}"/><circle {at} r="{candle:.1f}" fill="{escape(spot.colour)}" '
        f'stroke="{INK}" stroke-width="1"/>{gauge}{wick}'
    )


def _draw_label(spot: Spot, place: tuple[float, float], ring: float, *, turn: int, of: int, vat: bool) -> str:
    """Two lines outside the ring, never on it: beside it left and right, above it at the top, under the vat below."""
    x, y = place
    lines = _lines(spot, full=of <= FULL_LABELS)
    side = x - HUB[0]
    if abs(side) < ring:
        lines = [" ".join(lines[:2]), *lines[2:]]
        anchor, left = "middle", x
        below = (VAT_BELOW if vat and turn == 0 else ring) + 21
        top = y + below if y > HUB[1] else y - ring - 12 - LINE * (len(lines) - 1)
    else:
        anchor, left = ("start", x + ring + 12) if side > 0 else ("end", x - ring - 12)
        top = y + 5 - LINE / 2 * (len(lines) - 1)
    longest = MOST_LETTERS if anchor != "middle" else 2 * MOST_LETTERS
    rows = (
        f'<text x="{left:.1f}" y="{top + LINE * n:.1f}" text-anchor="{anchor}"{_weight(n, spot)}>'
        f"{escape(_short(line, longest))}</text>"
        for n, line in enumerate(lines)
    )
    return "".join(rows)


def _lines(spot: Spot, *, full: bool) -> list[str]:
    if spot.share is None:
        return [f"{spot.position}: free"]
    # The size stands beside the picture; on it there is no room.
    return [spot.code, re.sub(r"\s+\d.*$", "", spot.name), spot.said] if full else [spot.code]


def _weight(line: int, spot: Spot) -> str:
    if line or spot.share is None:
        return f' fill="{SOFT}"'
    return ' font-weight="700"'


def _short(words: str, most: int) -> str:
    return words if len(words) <= most else f"{words[: most - 1].rstrip()}…"


def _in_words(order: Sequence[Spot], over: Over | None, next_position: int | None, name: str) -> str:
    hung = sorted((spot for spot in order if spot.share is not None), key=lambda spot: spot.position)
    told = "; ".join(f"position {spot.position}: {spot.code} {spot.name}, {spot.said}" for spot in hung)
    stands = f" over {over.name}" if over else ""
    dips = next((f" {spot.code} dips next." for spot in hung if spot.position == next_position), "")
    return f"{name}{stands}. {told or 'Nothing hangs'}.{dips}"
