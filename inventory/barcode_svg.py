"""Barcodes as SVG in mm: the symbols by zxing-cpp, drawn here as bars with quiet zones and the text for people.

Widths of bars, quiet zones and heights follow the usual GS1 figures for print (from memory): EAN-13 at 0.33 mm a
module, down to 80 % of it; GS1-128 on cases from 0.25 to 0.66 mm here, at least 32 mm high where there is room.
"""

from itertools import groupby

from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

BLACK, FONT = "#000000", "Atkinson Hyperlegible Next, Segoe UI, sans-serif"
EAN_MODULE, EAN_SMALLEST = 0.33, 0.264
EAN_QUIET = {13: (11, 7), 8: (7, 7)}
EAN_HEIGHT = {13: 69.24, 8: 55.24}  # modules: 22.85 and 18.23 mm at 0.33
# Guard bars, as ranges of modules; they reach five modules lower, down beside the digits.
GUARDS = {13: ((0, 3), (45, 50), (92, 95)), 8: ((0, 3), (31, 36), (64, 67))}
CASE_MODULES = (0.25, 0.66)
CASE_QUIET = 10
CASE_TEXT_MM = 4.2


class NoRoom(ValueError):
    """The label is too narrow for bars a scanner reads; the message says what would be needed."""


def draw_ean(digits: str, *, room_mm: float = 100) -> SafeString:
    """EAN-13 or EAN-8 of checked digits, at the full size where `room_mm` holds it, else smaller down to 80 %.

    NoRoom below that; ValueError for digits that are not 13 or 8 or do not check.
    """
    if len(digits) not in EAN_QUIET:
        raise ValueError(f"an EAN symbol has 13 or 8 digits, not {len(digits)}")
    modules = _modules(digits, f"EAN{len(digits)}")
    left, right = EAN_QUIET[len(digits)]
    across = left + len(modules) + right
    module = min(EAN_MODULE, room_mm / across)
    if module < EAN_SMALLEST:
        raise NoRoom(f"An EAN symbol needs {across * EAN_SMALLEST:.0f} mm, and there are {room_mm:.0f}.")
    tall = EAN_HEIGHT[len(digits)] * module
    bars = [
        _bar(left + at, wide, module, tall + (5 * module if _in_guard(at, len(digits)) else 0))
        for at, wide in _bars(modules)
    ]
    size = (across * module, tall + 9 * module)
    return _svg("ean", size, f"Barcode {digits}", "".join(bars) + _ean_digits(digits, left, module, size[1]))


def draw_gs1_128(text: str, *, room_mm: float, tall_mm: float = 32) -> SafeString:
    """GS1-128 of an element string with brackets, as wide as `room_mm` allows, bars `tall_mm` high.

    The brackets stand in the text beneath and not in the bars. NoRoom where a bar would be thinner than 0.25 mm;
    ValueError for what is no element string.
    """
    modules = _modules(text, "Code128", gs1=True)
    across = len(modules) + 2 * CASE_QUIET
    least, most = CASE_MODULES
    module = min(most, room_mm / across)
    if module < least:
        raise NoRoom(f"{text} needs {across * least:.0f} mm, and there are {room_mm:.0f}.")
    bars = "".join(_bar(CASE_QUIET + at, wide, module, tall_mm) for at, wide in _bars(modules))
    width = across * module
    letters = min(CASE_TEXT_MM, 1.75 * width / len(text))
    below = (
        f'<text x="{width / 2:.2f}" y="{tall_mm + letters:.2f}" text-anchor="middle" font-family="{FONT}" '
        f'font-size="{letters:.2f}" fill="{BLACK}">{escape(text)}</text>'
    )
    return _svg("gs1", (width, tall_mm + CASE_TEXT_MM + 1.2), f"Barcode {text}", bars + below)


def _modules(content: str, kind: str, **options) -> list[bool]:
    """The symbol's modules from left to right, dark or not, without quiet zones."""
    # With the first label, not with every start of a command: a quarter of a second.
    import numpy as np  # noqa: PLC0415
    import zxingcpp  # noqa: PLC0415

    drawn = zxingcpp.create_barcode(content, getattr(zxingcpp.BarcodeFormat, kind), **options)
    image = np.array(drawn.to_image(scale=1, add_quiet_zones=False, add_hrt=False))
    return (image[0] == 0).tolist()


def _bars(modules: list[bool]) -> list[tuple[int, int]]:
    """Dark stretches as (first module, width)."""
    found, at = [], 0
    for dark, stretch in groupby(modules):
        wide = len(list(stretch))
        if dark:
            found.append((at, wide))
        at += wide
    return found


def _in_guard(at: int, digits: int) -> bool:
    return any(first <= at < past for first, past in GUARDS[digits])


def _bar(at: int, wide: int, module: float, tall: float) -> str:
    return f'<rect x="{at * module:.4f}" y="0" width="{wide * module:.4f}" height="{tall:.3f}" fill="{BLACK}"/>'


def _ean_digits(digits: str, left: int, module: float, bottom: float) -> str:
    """The digits beneath: of 13 the first stands before the bars, then a half on either side of the middle guard."""
    half = len(digits) // 2  # 13 digits: the first is told by the pattern of the left six, and has no bars
    ahead = len(digits) % 2
    places = [(n + ahead, left + 3 + 7 * n + (5 if n >= half else 0)) for n in range(2 * half)]
    places += [(0, left - 9)] * ahead
    drawn = (
        f'<text x="{(at + 3.5) * module:.3f}" y="{bottom - 0.6 * module:.3f}" text-anchor="middle">{digits[n]}</text>'
        for n, at in places
    )
    return f'<g font-family="{FONT}" font-size="{9 * module:.3f}" fill="{BLACK}">{"".join(drawn)}</g>'


def _svg(name: str, size: tuple[float, float], title: str, inside: str) -> SafeString:
    width, height = (f"{mm:.3f}" for mm in size)
    return mark_safe(  # noqa: S308 - numbers and escaped text
        f'<svg class="bars {name}" xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
        f'viewBox="0 0 {width} {height}" role="img"><title>{escape(title)}</title>'
        f'<rect x="0" y="0" width="{width}" height="{height}" fill="#ffffff"/>{inside}</svg>'
    )
