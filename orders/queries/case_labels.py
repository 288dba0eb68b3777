"""A case's label: what its frozen packing slip says, with bars."""

from decimal import Decimal

from django.db.models import Prefetch

from inventory.barcode_svg import draw_gs1_128
from inventory.label_layout import CASE, EDGE_MM, letters_of, room_within
from inventory.models import LabelSheet
from orders.case_bars import Case, bars_of, lifting_in_words
from orders.models import Box, BoxContent, Delivery
from production.label_words import lines_needed

TALL_LABEL, TALL_MM, LOW_MM = Decimal(140), 32, 25  # bars are lower on labels that are
MM_A_POINT = 25.4 / 72


def closed_boxes(delivery: Delivery) -> list[Box]:
    """Boxes of a closed delivery with slip, number and contents: a fixed number of queries."""
    contents = BoxContent.objects.select_related("delivery_line__line__candle__wax", "delivery_line__lot")
    rows = delivery.boxes.select_related("slip", "kind", "case_label").order_by("number")
    return list(rows.filter(slip__isnull=False).prefetch_related(Prefetch("contents", contents)))


def case_of(box: Box, slip: dict) -> Case:
    """The box as orders.case_bars takes it. It is full where it holds its one candle's pairs to a standard box."""
    rows = [(each.delivery_line.line.candle, each.delivery_line.lot.code, each.pairs) for each in box.contents.all()]
    candles, pairs = {candle.pk: candle for candle, _, _ in rows}, sum(pairs for _, _, pairs in rows)
    one = next(iter(candles.values())) if len(candles) == 1 else None
    return Case(
        contents=tuple((candle.code, lot, pairs) for candle, lot, pairs in rows),
        gtin=one.gtin if one else "",
        seconds=bool(slip["seconds"]),
        full=bool(one) and pairs == one.pairs_per_box,
        net_g=sum((candle.grams_a_pair * pairs for candle, _, pairs in rows), Decimal(0)),
        sscc=box.case_label.sscc if hasattr(box, "case_label") else "",
    )


def case_row(box: Box) -> dict:
    """What the page says of a case: box, pairs, weights in kg, bars as text, why its content is in none, lifting."""
    slip = box.slip.content
    case = case_of(box, slip)
    bars, why = bars_of(case)
    gross = Decimal(slip["box"]["gross_kg"])
    return {"box": box, "slip": slip, "case": case, "bars": bars, "why": why, "lifting": lifting_in_words(gross)}


def case_label(row: dict, sheet: LabelSheet) -> dict:
    """The label's content. NoRoom where the sheet's labels are too narrow for its bars."""
    contents, room = row["slip"]["contents"], float(room_within(sheet))
    tall = TALL_MM if sheet.label_h_mm >= TALL_LABEL else LOW_MM
    shown = _rows_that_fit(row["slip"], sheet, taken=len(row["bars"]) * (tall + 7.5))
    return {
        **row,
        "shown": contents[:shown],
        "more": len(contents) - shown,
        "drawn": [draw_gs1_128(text, room_mm=room, tall_mm=tall) for text in row["bars"]],
    }


def _rows_that_fit(slip: dict, sheet: LabelSheet, *, taken: float) -> int:
    """How many rows of its content a label holds beside bars that take so many mm; the slip lists them all anyway."""
    letters, room = float(letters_of(sheet, least=CASE)), float(room_within(sheet))
    line = 1.27 * letters * MM_A_POINT
    to = 2 + lines_needed(", ".join(slip["shop"]["address"]), room / 2 - 3, 1.25 * letters)
    # Whom it is for, in letters a quarter larger; then number, weights, order and how to lift it; and the last row.
    left = float(sheet.label_h_mm - 2 * EDGE_MM) - taken - 1.25 * line * to - 6 * line - line
    for n, content in enumerate(slip["contents"]):
        said = f"{content['pairs']} x {content['code']} {content['name']}, lot {content['lot']}, {content['fault']}"
        left -= 1.25 * line * lines_needed(said, room - 4, 1.05 * letters)
        if left < 0:
            return n
    return len(slip["contents"])
