"""A case's label: what its frozen packing slip says, with bars."""

from decimal import Decimal

from django.db.models import Prefetch

from inventory.barcode_svg import draw_gs1_128
from inventory.label_layout import room_within
from inventory.models import LabelSheet
from orders.case_bars import Case, bars_of, lifting_in_words
from orders.models import Box, BoxContent, Delivery

# Height of the bars in mm and rows of its content, on labels so high and on lower ones.
TALL_LABEL = Decimal(140)
TALL, LOW = (32, 6), (25, 3)


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
    tall, shown = TALL if sheet.label_h_mm >= TALL_LABEL else LOW
    return {
        **row,
        "shown": contents[:shown],
        "more": len(contents) - shown,
        "drawn": [draw_gs1_128(text, room_mm=room, tall_mm=tall) for text in row["bars"]],
    }
