"""A pack's label: its content for the sheet, and what stands in its way."""

from dataclasses import dataclass, field
from decimal import Decimal

from django.core.exceptions import ValidationError

from inventory.barcode_svg import draw_ean
from inventory.gs1 import NotGs1, retail_number
from inventory.label_layout import EDGE_MM, PACK, letters_of, room_within
from inventory.models import SECONDS, Candle, LabelSheet, Lot, Workshop
from inventory.pair_svg import draw_pair
from inventory.safety_svg import draw_mark, marks_for
from production.burning import burn_hours, hours_in_words
from production.label_words import (
    HEADING,
    TEXT,
    content_in_words,
    height_needed,
    left_out,
    net_in_words,
    shape_in_words,
)
from production.queries.burning import burn_rate_of

PICTURES_MM = 35.3  # heights of the row with the pair and of the row of marks, as labels.css gives them
PICTURE_PX = (85, 46)  # height and width the pair may take
SMALL = (Decimal("0.38"), 37.5)  # an EAN takes this share of a label, and no more mm than it is wide


@dataclass(frozen=True)
class Pack:
    """What is asked for: the candle, its lot if any, pairs in the pack, net weight in g where it was weighed."""

    candle: Candle
    sheet: LabelSheet
    lot: Lot | None = None
    pairs: int = 1
    net_g: Decimal | None = None
    burn: bool = True
    more: tuple[str, ...] = field(default=())

    @property
    def seconds(self) -> bool:
        return bool(self.lot and self.lot.grade == SECONDS)


def pack_label(pack: Pack) -> dict:
    """The label's content: texts and drawings.

    ValidationError, at the field, where nobody is named as its maker, the candle weighs nothing by the book, or the
    label is too small for all it has to say.
    """
    candle, workshop = pack.candle, Workshop.objects.first()
    if workshop is None:
        raise ValidationError("A label names its maker: write down the workshop's name and address first.")
    net = net_in_words(pack.net_g if pack.net_g is not None else pack.pairs * candle.grams_a_pair)
    if not net:
        raise ValidationError(
            {"net_g": "By its measures and wax this candle weighs nothing: weigh it, or put it right."}
        )
    marks = marks_for(needs_holder=candle.needs_holder, more=pack.more)
    number = barcode_number(pack)
    label = {
        "candle": candle,
        "content": content_in_words(pack.pairs),
        "shape": shape_in_words(candle.length_mm, candle.base_mm),
        "net": net,
        "lot": pack.lot.code if pack.lot else "",
        "fault": pack.lot.fault if pack.lot else "",
        "second": pack.seconds,
        "burns": burns_in_words(candle) if pack.burn else "",
        "picture": _picture(candle, pack.seconds),
        "bars": draw_ean(number, room_mm=_room_for_bars(pack.sheet)) if number else "",
        "marks": [draw_mark(mark, size_mm=7 if len(marks) <= 8 else 6) for mark in marks],
        "warnings": " ".join(mark.sentence for mark in marks[1:]),
        "maker": ", ".join([workshop.name, *workshop.address.splitlines(), f"{workshop.town} {workshop.postcode}"]),
    }
    _refuse_crowded(pack.sheet, label)
    return label


def barcode_number(pack: Pack) -> str:
    """The number of its EAN symbol; empty where the pack carries none (production.label_words.left_out says why)."""
    if pack.seconds or pack.pairs > 1 or not pack.candle.gtin:
        return ""
    try:
        return retail_number(pack.candle.gtin)
    except NotGs1:
        return ""


def gaps(pack: Pack) -> list[str]:
    """What the label goes without, in sentences."""
    single = Pack(candle=pack.candle, sheet=pack.sheet)
    return left_out(
        gtin=pack.candle.gtin,
        retail=bool(barcode_number(single)),
        pairs=pack.pairs,
        seconds=pack.seconds,
        lot=pack.lot.code if pack.lot else "",
    )


def burns_in_words(candle: Candle) -> str:
    """ "Burns about 10½ hours each (estimate: 6 g an hour, not measured)."; empty for a candle without weight."""
    mass, rate = candle.grams_a_pair / 2, burn_rate_of(candle)
    if not mass:
        return ""
    return f"Burns about {hours_in_words(burn_hours(mass, rate.g_hour))} each (estimate: {rate.on_label})."


def _picture(candle: Candle, second: bool):
    tall, wide = PICTURE_PX
    scale = min(0.3, (tall - 10) / float(candle.length_mm), (wide - 10) / (2 * float(candle.base_mm)))
    shape = {"length_mm": candle.length_mm, "base_mm": candle.base_mm, "tip_mm": candle.tip_mm}
    return draw_pair(**shape, colour=candle.colour.hex, second=second, scale=scale)


def _room_for_bars(sheet: LabelSheet) -> float:
    share, most = SMALL
    return min(most, float(sheet.label_w_mm * share))


def _refuse_crowded(sheet: LabelSheet, label: dict) -> None:
    texts = [
        (label["candle"].name + (" SECONDS " if label["second"] else ""), 1.5, HEADING),
        (label["warnings"], 1, TEXT),
        (label["burns"], 1, TEXT),
        (label["maker"], 0.9, TEXT),
    ]
    words = height_needed(texts, float(room_within(sheet)), float(letters_of(sheet, least=PACK)))
    if PICTURES_MM + words > float(sheet.label_h_mm - 2 * EDGE_MM):
        raise ValidationError({"sheet": "All it has to say wants a larger label, or fewer of the marks one may add."})
