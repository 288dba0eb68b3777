"""The pair as a picture of dots, for a spreadsheet: the drawing of pair_svg.py, painted by Pillow."""

import io
import re
from collections.abc import Iterator
from decimal import Decimal
from functools import lru_cache
from math import cos, pi, sin

from PIL import Image, ImageDraw

from inventory.pair_svg import ARCH, EDGE, GAP, INK, candle_path

DENSITY = 3  # dots a px: sharp on a fine screen and on paper
FINER = 4  # painted so much larger, then made small: PIL draws hard edges
COLOURS = 64  # ink, one wax and the shades between: a third of the bytes
CURVE = 8  # straight pieces a curve is painted with
_STEP = re.compile(r"([MLQHz])([^MLQHz]*)")
Point = tuple[float, float]


@lru_cache(maxsize=2_000)
def pair_png(
    *, length_mm: Decimal, base_mm: Decimal, tip_mm: Decimal, colour: str, scale: float
) -> tuple[bytes, int, int]:
    """The pair as a PNG, and the width and height in px it is meant to be shown at; mm in, `scale` px a mm.

    `colour` as #rrggbb. ValueError for a shape that cannot hang.
    """
    length, base, tip = (float(mm) * scale for mm in (length_mm, base_mm, tip_mm))
    if not 0 < tip <= base or length <= 0:
        raise ValueError(f"no candle is {length_mm} long, {base_mm} at the base and {tip_mm} at the tip (mm)")
    left, top = EDGE + base / 2, EDGE + ARCH
    right = left + base + GAP
    width, height = round(right + base / 2 + EDGE + 0.5), round(top + length + EDGE + 0.5)
    fine = DENSITY * FINER
    # Clear ink, not clear black: where edges are made small, what is clear lends its colour.
    image = Image.new("RGBA", (width * fine, height * fine), f"{INK}00")
    draw = ImageDraw.Draw(image)
    draw.line([(x * fine, y * fine) for x, y in _wick(left, right, top)], fill=INK, width=round(0.9 * fine))
    for middle in (left, right):
        points = [(x * fine, y * fine) for x, y in _outline(candle_path((middle, top), length, base, tip))]
        draw.line([*points, points[0], points[1]], fill=INK, width=round(1.4 * fine), joint="curve")
        draw.polygon(points, fill=colour)
    small = image.resize((width * DENSITY, height * DENSITY), Image.Resampling.LANCZOS)
    made = io.BytesIO()
    small.quantize(COLOURS, Image.Quantize.FASTOCTREE).save(made, "PNG", optimize=True)
    return made.getvalue(), width, height


def _wick(left: float, right: float, top: float) -> list[Point]:
    """From tip to tip over the arch."""
    middle, radius = (left + right) / 2, (right - left) / 2
    rise = min(ARCH, radius)
    arch = [(middle - radius * cos(pi * n / 24), EDGE + rise - rise * sin(pi * n / 24)) for n in range(25)]
    return [(left, top), *arch, (right, top)]


def _outline(path: str) -> Iterator[Point]:
    """The corners of a path of candle_path: moves, lines, level lines and quadratic curves, all to given points."""
    at: Point = (0.0, 0.0)
    for step, rest in _STEP.findall(path):
        numbers = [float(number) for number in rest.split()]
        if step == "Q":
            (x, y), (bend_x, bend_y, to_x, to_y) = at, numbers
            for n in range(1, CURVE + 1):
                part = n / CURVE
                near, both, far = (1 - part) ** 2, 2 * part * (1 - part), part**2
                yield near * x + both * bend_x + far * to_x, near * y + both * bend_y + far * to_y
            at = (to_x, to_y)
        elif step != "z":
            at = (numbers[0], at[1]) if step == "H" else (numbers[0], numbers[1])
            yield at
