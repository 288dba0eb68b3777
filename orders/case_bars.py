"""What a case's label carries in bars and what it weighs. No Django here: g, kg, whole pairs.

A case with a number of its own (SSCC) says what it holds by content and count (02, 37) with the lot (10). Without one,
those may not stand (from memory: 02 and 37 want an SSCC), so the case itself is named (01): a full box of one candle
as a grouping of it, any other count as a measure that varies, with its net weight (3103). Which pairs a box of several
candles or lots holds is told in words alone.
"""

from dataclasses import dataclass
from decimal import Decimal

from inventory.gs1 import (
    BY_WEIGHT,
    CONTENT,
    GTIN,
    ONE_CASE,
    SSCC,
    Element,
    NotGs1,
    batch,
    count,
    element_string,
    gtin_14,
    net_kg,
)
from production.lifting import lifting_filter

CARRIED = "knuckle to elbow"


@dataclass(frozen=True)
class Case:
    """A closed box: pairs by candle and lot (code), GTIN of its one candle, whether it is full of it, its number."""

    contents: tuple[tuple[str, str, int], ...]
    gtin: str
    seconds: bool
    full: bool
    net_g: Decimal
    sscc: str = ""

    @property
    def pairs(self) -> int:
        return sum(pairs for _, _, pairs in self.contents)


def bars_of(case: Case) -> tuple[list[str], str]:
    """Element strings from the top, and why its content stands in none of them (empty: it does)."""
    bars, why = [], why_in_words(case)
    if not why:
        try:
            bars.append(element_string(*_content(case)))
        except NotGs1 as refused:
            why = f"Its content stands in no bar: {refused}"
    if case.sscc:
        bars.append(element_string(Element(SSCC, case.sscc)))
    return bars, why


def why_in_words(case: Case) -> str:
    """Why a case's content is told in words alone; empty where bars can tell it."""
    if case.seconds:
        return "Its content stands in no bar: a GTIN names firsts, and these are seconds."
    if len({(candle, lot) for candle, lot, _ in case.contents}) > 1:
        return "Its content stands in no bar: it holds more than one candle or lot."
    if not case.gtin:
        return "Its content stands in no bar: the candle has no GTIN."
    return ""


def _content(case: Case) -> list[Element]:
    lot = batch(case.contents[0][1])
    named_as_case = gtin_14(case.gtin)[0] != "0"
    if case.sscc and not named_as_case:
        return [Element(CONTENT, gtin_14(case.gtin)), count(case.pairs), lot]
    if named_as_case and not case.full:
        raise NotGs1(f"{case.gtin} names a full case, and this one is not.")
    if named_as_case:
        return [Element(GTIN, case.gtin), lot]
    if case.full:
        return [Element(GTIN, gtin_14(case.gtin, ONE_CASE)), lot]
    return [Element(GTIN, gtin_14(case.gtin, BY_WEIGHT)), net_kg(case.net_g), lot]


def lifting_in_words(gross_kg: Decimal) -> str:
    """How to lift a case of that weight, by the usual filter between knuckle and elbow (TRADE S-16 to S-18); empty
    where it passes for all, even at arm's length. A filter, no limit of the law."""
    limits = lifting_filter((CARRIED,))
    if gross_kg <= limits.women_far:
        return ""
    if gross_kg <= limits.women_close:
        return "Lift it close to the body."
    if gross_kg <= limits.men_close:
        return "HEAVY: two people or a trolley."
    return "TOO HEAVY for one: two people and a trolley."
