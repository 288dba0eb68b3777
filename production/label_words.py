"""What a pack's label says. No Django here: g, whole pairs, mm; sentences out."""

from decimal import ROUND_DOWN, Decimal
from math import ceil

from inventory.words import counted, measure

# Width of a common letter in heights of the font, measured on paper: the text's and the headings', and how much more a
# capital takes; height of a line. All a little more than they are, so that no line is missed.
TEXT, HEADING, CAPITAL, LINE = 0.46, 0.43, 1.45, 1.27


def net_in_words(grams: Decimal) -> str:
    """ "128 g", "1.28 kg", "2.6 g": rounded down, so that no label claims more than there is. Empty for nothing."""
    if grams >= 1000:
        return f"{(grams / 1000).quantize(Decimal('0.01'), rounding=ROUND_DOWN)} kg"
    step = Decimal(1) if grams >= 10 else Decimal("0.1")
    whole = Decimal(grams).quantize(step, rounding=ROUND_DOWN)
    return f"{whole} g" if whole > 0 else ""


def content_in_words(pairs: int) -> str:
    return f"{counted(pairs, 'pair')} ({2 * pairs} candles)"


def shape_in_words(length_mm: Decimal, base_mm: Decimal) -> str:
    return f"{measure(length_mm)} x {measure(base_mm)} mm"


def left_out(*, gtin: str, retail: bool, pairs: int, seconds: bool, lot: str) -> list[str]:
    """What the label goes without, and why: a sentence each. `retail`: whether the GTIN is one a till reads."""
    said = []
    if seconds:
        said.append("No barcode: the GTIN is that of firsts, and these are seconds; the label says so.")
    elif not gtin:
        said.append("No barcode: this candle has no GTIN.")
    elif not retail:
        said.append(f"No barcode: {gtin} names a case, and a till reads no such number.")
    elif pairs > 1:
        said.append(f"No barcode: {gtin} names one pair; a pack of {pairs} would need a number of its own.")
    if not lot:
        said.append("No lot: should something be wrong with it, no label tells which pairs to call back.")
    return said


def lines_needed(text: str, room_mm: float, letters_pt: float, letter: float = TEXT) -> int:
    """About how many lines a text takes; rather one too many than one too few. The letters' height in points."""
    letters = sum(CAPITAL if each.isupper() else 1 for each in text)
    return ceil(letters * letter * letters_pt * 25.4 / 72 / room_mm)


def height_needed(blocks: list[tuple[str, float, float]], room_mm: float, letters_pt: float) -> float:
    """About how many mm texts take beneath each other: each (text, its letters as a share of the label's, TEXT or
    HEADING)."""
    return sum(
        lines_needed(text, room_mm, share * letters_pt, letter) * share * letters_pt * LINE * 25.4 / 72
        for text, share, letter in blocks
    )
