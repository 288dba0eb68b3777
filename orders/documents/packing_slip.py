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
        "contents": [
            {
                **candle_facts(content.delivery_line.line.candle),
                "lot": content.delivery_line.lot.code,
                "fault": content.delivery_line.lot.fault,
                "pairs": content.pairs,
            }
            for content in box.contents.all()
        ],
    }
