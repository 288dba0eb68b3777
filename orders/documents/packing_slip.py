"""The content of a packing slip, one a box, frozen together with its delivery note."""

from orders.documents.delivery_note import box_facts
from orders.documents.parts import candle_facts

FROM_NOTE = ("issued_on", "issued_iso", "van_day", "workshop", "shop", "order", "reference", "seconds")


def slip_content(box, *, note: dict, of: int) -> dict:
    """What lies in this box: `note` is the frozen content of its delivery note, `of` the number of boxes."""
    return {
        "title": "Packing slip",
        **{name: note[name] for name in FROM_NOTE},
        "note": note["number"],
        "box": box_facts(box),
        "of": of,
        "contents": _contents(box),
    }


def _contents(box) -> list[dict]:
    """A row a line and lot; of a box of seconds a row a lot, whose pairs may stand at two prices on the order."""
    rows: dict[tuple, dict] = {}
    for content in box.contents.all():
        of, lot = content.delivery_line.line, content.delivery_line.lot
        row = rows.setdefault(
            (None if box.seconds_box_id else of.pk, lot.pk),
            {**candle_facts(of.candle), "lot": lot.code, "fault": lot.fault, "pairs": 0},
        )
        row["pairs"] += content.pairs
    return list(rows.values())
