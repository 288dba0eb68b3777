"""Wax in hand for the dip plan. No Django here: grams, shares in per cent."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from inventory.material_words import GRAM, amount_in_words


@dataclass(frozen=True)
class Part:
    """One material of a blend: `grams` of it that are free for new frames, `percent` its share."""

    name: str
    grams: int
    percent: Decimal


@dataclass(frozen=True)
class InHand:
    """Grams of a wax for new frames, None where nobody knows; `short` names the part that bounds it.

    `by_lots`: from the lots in the stockroom; otherwise the figure typed under Wax heat.
    """

    wax: str
    grams: int | None
    by_lots: bool = False
    short: str = ""

    def in_words(self) -> str:
        """ "84.2 kg (stearin is the scarcest part)"; "not known"."""
        if self.grams is None:
            return "not known"
        short = f" ({self.short} is the scarcest part)" if self.short else ""
        return amount_in_words(self.grams, GRAM) + short


def by_lots(wax: str, parts: Iterable[Part], frames_take: int) -> InHand:
    """What the parts of a blend give: the scarcest bounds it; less what frames on the floor will take (g).

    Nought where they take more. ValueError without parts.
    """
    most = {part: Decimal(max(0, part.grams)) * 100 / Decimal(part.percent) for part in parts}
    if not most:
        raise ValueError(f"{wax} has no blend")
    scarcest = min(most, key=lambda part: most[part])
    return InHand(wax, max(0, int(most[scarcest]) - frames_take), True, scarcest.name if len(most) > 1 else "")


def in_words(waxes: Iterable[InHand]) -> str:
    """One sentence on the waxes whose lots are known; empty where there is none."""
    said = [f"{each.wax} {each.in_words()}" for each in waxes if each.by_lots]
    return f"Wax for new frames, by the lots in the stockroom: {'; '.join(said)}." if said else ""
