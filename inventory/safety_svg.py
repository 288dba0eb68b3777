"""The marks a candle's label carries, drawn by ourselves in the general words of EN 15494.

What each says is common to published lists of the marks (TRADE S-1 to S-4); the standard's own text and drawings were
not read, and where it is to be met a test laboratory looks at the label. A mark is never smaller than 5 mm in print.
"""

from dataclasses import dataclass

from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

INK = "#000000"
SMALLEST_MM = 5


@dataclass(frozen=True)
class Mark:
    key: str
    sentence: str
    drawing: str
    ring: str = "never"  # "never": a ring struck through; "do": a plain ring; "": none


def _candle(x: float, top: float, bottom: float, wide: float = 12, *, lit: bool = True) -> str:
    """A candle seen from the side, its flame above it; x is its middle."""
    flame = (
        f'<path d="M{x} {top - 19}C{x + 8} {top - 11} {x + 6} {top - 4} {x} {top - 4}'
        f'C{x - 6} {top - 4} {x - 8} {top - 11} {x} {top - 19}z"/>'
        if lit
        else ""
    )
    wick = f'<path d="M{x} {top}V{top - 5}" stroke-width="2.5"/>'
    return f'{flame}{wick}<rect x="{x - wide / 2}" y="{top}" width="{wide}" height="{bottom - top}"/>'


# What is struck through keeps clear of the stroke, which runs from the upper left to the lower right.
_LIT = _candle(33, 60, 84)
_PERSON = (
    '<g transform="translate(17 0) scale(0.8)"><circle cx="67" cy="27" r="8"/>'
    '<path d="M66 37L62 58L52 78M62 58L73 67L74 80M66 40L77 48L82 56M65 40L54 47L51 56" fill="none" '
    'stroke-width="7"/></g>'
)
_CURTAIN = (
    '<path d="M36 20H80" stroke-width="5"/><path d="M50 22C47 36 56 40 51 52L66 56C62 44 70 36 67 22z'
    'M70 22C68 38 74 44 70 62L80 60C76 44 79 36 77 22z"/>'
)
_CHILD = (
    '<circle cx="23" cy="43" r="6.5"/><path d="M23 49V64M23 64L17 78M23 64L29 78M23 53L33 50M23 53L14 59" fill="none" '
    'stroke-width="5"/>'
)
_PET = (
    '<g transform="translate(-8 -24)"><path d="M62 58H80L84 49L90 54L86 60V77H81V67H67V77H62z"/>'
    '<path d="M63 60L57 50" fill="none" stroke-width="4"/></g>'
)
_HOLDER = '<path d="M41 66H59V72H54V78H78L74 86H26L22 78H46V72H41z"/>'
_APART = '<path d="M33 84H67M38 79L32 84L38 89M62 79L68 84L62 89" fill="none" stroke-width="3.5"/>'
_WIND = '<path d="M14 60H38C46 60 46 50 39 51M14 69H50M20 78H40C48 78 48 88 41 87" fill="none" stroke-width="4"/>'
_SHEARS = (
    '<path d="M40 52L70 40M40 40L70 52" fill="none" stroke-width="3.5"/><circle cx="75" cy="38" r="5.5" fill="none" '
    'stroke-width="3.5"/><circle cx="75" cy="54" r="5.5" fill="none" stroke-width="3.5"/>'
    '<path d="M37 56V36" stroke-width="3"/>'
)
_DROP = '<path d="M66 18C74 30 77 35 77 41A11 11 0 0 1 55 41C55 35 58 30 66 18z"/>'
_MOVED = '<path d="M50 36H78M68 26L79 36L68 46" fill="none" stroke-width="6"/>'

WARNING = Mark(
    "warning",
    "Warning",
    '<path d="M50 5L95.5 95.5H4.5z" fill="none" stroke-width="8" stroke-linejoin="round"/>'
    '<path d="M45 34H55L53 66H47z"/><circle cx="50" cy="78" r="5.4"/>',
    ring="",
)
ALWAYS = (
    Mark("unattended", "Never leave a burning candle unattended.", _LIT + _PERSON),
    Mark("fire", "Burn it away from anything that can catch fire.", _LIT + _CURTAIN),
    Mark("children", "Keep burning candles away from children and pets.", _candle(44, 68, 87, 10) + _CHILD + _PET),
)
HOLDER = Mark("holder", "Use a heat-resistant candle holder.", _candle(50, 34, 66) + _HOLDER, ring="do")
MORE = (
    Mark(
        "apart",
        "Leave at least 10 cm between burning candles.",
        _candle(27, 44, 74) + _candle(73, 44, 74) + _APART,
        ring="do",
    ),
    Mark("draught", "Keep it out of draughts.", _candle(68, 38, 60) + _WIND),
    Mark(
        "trim", "Trim the wick to about 1 cm before lighting.", _candle(37, 56, 84, 16, lit=False) + _SHEARS, ring="do"
    ),
    Mark("upright", "Burn it upright.", f'<g transform="rotate(18 27 82)">{_candle(27, 62, 82)}</g>'),
    Mark("liquid", "Never put it out with a liquid.", _LIT + _DROP),
    Mark("move", "Do not move it while it burns.", _LIT + _MOVED),
)
MORE_BY_KEY = {mark.key: mark for mark in MORE}


def marks_for(*, needs_holder: bool, more: tuple[str, ...] = ()) -> list[Mark]:
    """What a candle's label carries, in order: the warning sign and the three that always stand, the holder where
    the candle cannot stand by itself, and the named ones of MORE. KeyError for a name that is none of them."""
    holder = [HOLDER] if needs_holder else []
    return [WARNING, *ALWAYS, *holder, *(MORE_BY_KEY[key] for key in more)]


def draw_mark(mark: Mark, *, size_mm: float = 7) -> SafeString:
    """The mark, as high and as wide as `size_mm`. ValueError below 5 mm."""
    if size_mm < SMALLEST_MM:
        raise ValueError(f"a mark of {size_mm} mm: at least {SMALLEST_MM} mm in print")
    ring = {
        "never": '<circle cx="50" cy="50" r="46.5" fill="none" stroke-width="7"/><path d="M17 17L83 83" '
        'stroke="#ffffff" stroke-width="11"/><path d="M17 17L83 83" stroke-width="6"/>',
        "do": '<circle cx="50" cy="50" r="47" fill="none" stroke-width="5"/>',
        "": "",
    }[mark.ring]
    return mark_safe(  # noqa: S308 - drawings of this module, a number and an escaped sentence
        f'<svg class="mark" xmlns="http://www.w3.org/2000/svg" width="{size_mm:g}mm" height="{size_mm:g}mm" '
        f'viewBox="0 0 100 100" role="img"><title>{escape(mark.sentence)}</title>'
        f'<g fill="{INK}" stroke="{INK}" stroke-width="0">{mark.drawing}{ring}</g></svg>'
    )
